package rules

import (
	"slices"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate"
)

// check is one rule with the function that looks for it. Bad and Good are small
// documents, written without their namespace, that break the rule and keep it.
type check struct {
	*validate.Rule
	kinds      []jdf.Kind
	from, upto jdf.Version // first and last version that the rule is for; zero has no end
	fragment   leniency
	Bad, Good  string
	run        func(*pass)
}

// leniency says what becomes of a rule when the document is a fragment, which
// leaves out what stands around it.
type leniency uint8

const (
	same    leniency = iota
	asNote           // may well be right in the whole ticket
	leftOut          // a fragment can not be asked
)

// pass is what a rule sees of one document.
type pass struct {
	doc    *jdf.Document
	job    *job.Job
	index  *index
	rule   *validate.Rule
	soften bool
	budget int // see spend
	hints  int // near names offered so far
	report func(validate.Finding)
}

// spend counts steps of work that grow with more than the size of the
// document, as when each of many nodes links the whole of a large resource. It
// reports false when a rule has used up its share and must stop looking, so
// that no document takes more time than its size warrants.
func (p *pass) spend(steps int) bool {
	p.budget -= steps
	return p.budget >= 0
}

func (p *pass) at(place jdf.Place, facts ...validate.Fact) {
	p.give(p.rule.At(place, facts...))
}

// atWith reports a finding that speaks of a second place.
func (p *pass) atWith(place, related jdf.Place, say string, facts ...validate.Fact) {
	p.give(p.rule.At(place, facts...).With(related, say))
}

func (p *pass) give(f validate.Finding) {
	if p.soften {
		f.Severity = validate.Note
	}
	p.report(f)
}

// fact is validate.F, which the rules need so often.
func fact(name string, value any) validate.Fact { return validate.F(name, value) }

var (
	tickets   = []jdf.Kind{jdf.KindJDF, jdf.KindXJDF}
	messages  = []jdf.Kind{jdf.KindJMF, jdf.KindXJMF}
	all       = []jdf.Kind{jdf.KindJDF, jdf.KindJMF, jdf.KindXJDF, jdf.KindXJMF}
	firstGen  = []jdf.Kind{jdf.KindJDF, jdf.KindJMF}
	secondGen = []jdf.Kind{jdf.KindXJDF, jdf.KindXJMF}
	onlyJDF   = []jdf.Kind{jdf.KindJDF}
	onlyXJDF  = []jdf.Kind{jdf.KindXJDF}
	onlyXJMF  = []jdf.Kind{jdf.KindXJMF}
)

// Options chooses how strict the stage is. The zero Options is for whole
// tickets and messages.
type Options struct {
	// Fragment is for documents that show a part of a ticket, such as the
	// samples of the standard: rules about what is missing around it become
	// notes or are left out. Default: false.
	Fragment bool
}

// Rules lists what the stage can find.
func Rules() []*validate.Rule {
	var rules []*validate.Rule
	for _, c := range checks() {
		rules = append(rules, c.Rule)
	}
	return rules
}

// Stage makes the stage; without Options it is for whole documents. It is safe
// for concurrent use, and its Check returns no error.
func Stage(options ...Options) validate.Stage {
	table := checks()
	links := new(linkTable)
	fragment := false
	for _, o := range options {
		fragment = fragment || o.Fragment
	}
	run := func(s *validate.Subject, report func(validate.Finding)) error {
		index := newIndex(s.Doc, s.Job)
		index.links = links
		p := new(pass) // one after the other, for most tickets are smaller than a pass for each rule
		for i := range table {
			c := &table[i]
			if !c.applies(s.Doc) || fragment && c.fragment == leftOut {
				continue
			}
			*p = pass{
				doc: s.Doc, job: s.Job, index: index, rule: c.Rule, report: report,
				soften: fragment && c.fragment == asNote, budget: leastBudget + budgetFactor*s.Doc.Len(),
			}
			c.run(p)
		}
		return nil
	}
	return validate.Stage{Name: "rules", Rules: Rules(), Check: run}
}

// The share of work of each rule beyond one walk over the document: nodes to
// look at again, and so many times the size of the document.
const (
	leastBudget  = 1_000_000
	budgetFactor = 4
)

// applies reports whether the rule is for documents such as this. One that
// does not say its version is held against all rules.
func (c *check) applies(doc *jdf.Document) bool {
	if !slices.Contains(c.kinds, doc.Kind) {
		return false
	}
	v := doc.Version
	return v.IsZero() || v.Compare(c.from) >= 0 && (c.upto.IsZero() || v.Compare(c.upto) <= 0)
}
