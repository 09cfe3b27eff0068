package rules

import (
	"sync"

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
	onlyJMF   = []jdf.Kind{jdf.KindJMF}
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
	for c := range checks() {
		rules = append(rules, c.Rule)
	}
	return rules
}

// Stage makes the stage; without Options it is for whole documents. It is safe
// for concurrent use, and its Check returns no error.
func Stage(options ...Options) validate.Stage {
	st := &stage{links: new(linkTable)}
	for _, o := range options {
		st.fragment = st.fragment || o.Fragment
	}
	for c := range checks() {
		if st.fragment && c.fragment == leftOut {
			continue
		}
		for _, kind := range c.kinds {
			st.checks[kind] = append(st.checks[kind], c)
		}
	}
	return validate.Stage{Name: "rules", Rules: Rules(), Check: st.check}
}

// stage is the checks with what is kept from one document to the next.
type stage struct {
	checks   [jdf.KindXJMF + 1][]*check // by kind of document
	fragment bool
	links    *linkTable
	idle     sync.Pool // of indexes that forgot their document
}

func (st *stage) check(s *validate.Subject, report func(validate.Finding)) error {
	x, _ := st.idle.Get().(*index)
	if x == nil {
		x = newIndex()
	}
	x.links = st.links
	x.read(s.Doc, s.Job)
	p := new(pass) // one after the other, for most tickets are smaller than a pass for each rule
	for _, c := range st.checks[s.Doc.Kind] {
		if !c.applies(s.Doc.Version) {
			continue
		}
		*p = pass{
			doc: s.Doc, job: s.Job, index: x, rule: c.Rule, report: report,
			soften: st.fragment && c.fragment == asNote, budget: leastBudget + budgetFactor*s.Doc.Len(),
		}
		c.run(p)
	}
	// The room of a large document would be held for all the small ones to come.
	const most = 1 << 14
	if s.Doc.Len() < most {
		x.forget()
		st.idle.Put(x)
	}
	return nil
}

// The share of work of each rule beyond one walk over the document: nodes to
// look at again, and so many times the size of the document.
const (
	leastBudget  = 1_000_000
	budgetFactor = 4
)

// applies reports whether the rule is for a version. A document that does not
// say its version is held against all rules.
func (c *check) applies(v jdf.Version) bool {
	return v.IsZero() || v.Compare(c.from) >= 0 && (c.upto.IsZero() || v.Compare(c.upto) <= 0)
}
