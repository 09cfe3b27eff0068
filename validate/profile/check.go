package profile

import (
	"fmt"
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate"
)

// run is one profile over one document.
type run struct {
	*Profile
	finder
	claimed   bool
	processes map[int][]string // of JDF nodes and XJDF, by index
	report    func(validate.Finding)
}

// Check holds a document against the profile. The Job is that of the document;
// it is decoded when it is nil. Where a profile names the words that claim it,
// and the document claims none of them, errors count as warnings: nobody has
// promised anything.
func (p *Profile) Check(doc *jdf.Document, j *job.Job, report func(validate.Finding)) {
	if j == nil {
		j = job.Decode(doc)
	}
	r := &run{Profile: p, report: report, finder: finder{tree: newTree(doc)}}
	r.processes = processesOf(doc, j)
	r.claimed = len(p.claims) == 0 || slices.ContainsFunc(claims(doc), func(w string) bool {
		return slices.Contains(p.claims, w)
	})
	if want, got := r.scope(doc); want != "" {
		place := doc.Root().NamePlace()
		report(outside.At(place, validate.F("profile", p.Name), validate.F("want", want), validate.F("got", got)))
		return
	}
	for i, c := range p.clauses {
		if !r.clause(c, len(p.clauses)-i-1) {
			return
		}
	}
}

// claims are the words of ICSVersions, on the root or, in messages of the 2.x
// generation, on the header.
func claims(doc *jdf.Document) []string {
	root := doc.Root()
	return append(strings.Fields(root.Get("ICSVersions")), strings.Fields(root.Child("Header").Get("ICSVersions"))...)
}

// processesOf lists the types of each node, combined ones taken apart. Nodes
// that run nothing themselves, such as products, have their Type alone.
func processesOf(doc *jdf.Document, j *job.Job) map[int][]string {
	all := map[int][]string{}
	for n := range doc.Elements() {
		if n.Is("JDF") {
			all[n.Index()] = []string{strings.TrimSpace(n.Get("Type"))}
		}
	}
	for _, o := range j.Operations {
		all[o.Node.Index()] = append(all[o.Node.Index()], o.Type)
	}
	return all
}

// scope says what the profile is for and what the document is instead, or ""
// when it is for the document. Messages have no processes to go by.
func (r *run) scope(doc *jdf.Document) (want, got string) {
	if !slices.Contains(r.kinds, doc.Kind) {
		names := make([]string, len(r.kinds))
		for i, k := range r.kinds {
			names[i] = k.String()
		}
		return validate.Choices(names), doc.Kind.String()
	}
	v := doc.Version
	if !v.IsZero() && (v.Compare(r.first) < 0 || !r.last.IsZero() && v.Compare(r.last) > 0) {
		want = fmt.Sprintf("versions from %s to %s", r.first, r.last)
		switch {
		case r.last.IsZero():
			want = fmt.Sprintf("versions from %s", r.first)
		case r.first.IsZero():
			want = fmt.Sprintf("versions up to %s", r.last)
		case r.first == r.last:
			want = fmt.Sprintf("version %s", r.first)
		}
		return want, "version " + v.String()
	}
	if len(r.Profile.processes) == 0 || doc.Kind.Message() {
		return "", ""
	}
	for _, types := range r.processes {
		if overlap(types, r.Profile.processes) {
			return "", ""
		}
	}
	return "tickets with " + validate.Choices(r.Profile.processes), "without"
}

func overlap(a, b []string) bool {
	return slices.ContainsFunc(a, func(s string) bool { return slices.Contains(b, s) })
}

// clause checks one clause; after is the number of those behind it. It returns
// false when the steps are used up.
func (r *run) clause(c *clause, after int) (goOn bool) {
	defer func() {
		switch p := recover().(type) {
		case nil:
		case exhausted:
			r.undecided(c, fmt.Sprintf("it takes too many steps on this file; %d more clauses were left out", after))
			goOn = false
		default:
			panic(p)
		}
	}()
	nodes, err := r.all(c.at)
	seen := map[seenKey]jdf.Place{}
	for _, n := range nodes {
		if err != nil {
			break
		}
		err = r.element(c, n, seen)
	}
	if err != nil {
		r.undecided(c, err.Error())
	}
	return true
}

func (r *run) undecided(c *clause, problem string) {
	r.report(notDecided.At(c.place, validate.F("clause", c.id), validate.F("profile", r.Name),
		validate.F("problem", problem)).With(r.tree.doc.Root().NamePlace(), "in this file"))
}

// element checks a clause at one element.
func (r *run) element(c *clause, n jdf.Node, seen map[seenKey]jdf.Place) error {
	if len(c.processes) > 0 && !overlap(r.processes[around(n).Index()], c.processes) {
		return nil
	}
	if c.when != nil {
		if ok, err := c.when.holds(r.tree, n); !ok || err != nil {
			return err
		}
	}
	if err := r.presence(c, n); err != nil {
		return err
	}
	if err := r.values(c, n); err != nil {
		return err
	}
	if err := r.repeats(c, n, seen); err != nil {
		return err
	}
	if c.condition == nil {
		return nil
	}
	ok, err := c.condition.holds(r.tree, n)
	if !ok && err == nil {
		r.found(c, notMet, n.NamePlace(), c.conditionAt, validate.F("element", n.Local()))
	}
	return err
}

// around is the JDF node or XJDF that an element belongs to.
func around(n jdf.Node) jdf.Node {
	for n.Valid() && !n.Is("JDF", "XJDF") {
		n = n.Parent()
	}
	return n
}

// presence checks what must be there, what must not, and how often.
func (r *run) presence(c *clause, n jdf.Node) error {
	for _, i := range c.require {
		places, _, err := r.places(i, n)
		if err != nil {
			return err
		}
		if len(places) == 0 {
			r.found(c, missing, n.NamePlace(), i.place, validate.F("element", n.Local()), validate.F("item", i.source))
		}
	}
	for _, i := range c.forbid {
		places, _, err := r.places(i, n)
		if err != nil {
			return err
		}
		for _, place := range places {
			r.found(c, forbidden, place, i.place, validate.F("element", n.Local()), validate.F("item", i.source))
		}
	}
	for _, t := range c.count {
		nodes, err := r.from(t.path, n)
		if err != nil {
			return err
		}
		if got := len(nodes); got < t.least || t.most >= 0 && got > t.most {
			r.found(c, wrongCount, n.NamePlace(), t.place, validate.F("element", n.Local()), validate.F("item", t.source),
				validate.F("got", got), validate.F("want", t.words))
		}
	}
	return nil
}

// places are where the things stand that a path leads to, and their values.
func (r *run) places(i item, n jdf.Node) (places []jdf.Place, values []string, err error) {
	nodes, err := r.from(i.path, n)
	for _, m := range nodes {
		if i.attr == "" {
			places, values = append(places, m.NamePlace()), append(values, "")
			continue
		}
		if a := m.AttrNS(i.attrNS, i.attr); a.Valid() {
			places, values = append(places, a.Place()), append(values, a.Value())
		}
	}
	return places, values, err
}

func (r *run) found(c *clause, rule *validate.Rule, at, in jdf.Place, facts ...validate.Fact) {
	r.report(r.finding(c, rule, at, facts...).With(in, "the profile asks for it here"))
}

func (r *run) finding(c *clause, rule *validate.Rule, at jdf.Place, facts ...validate.Fact) validate.Finding {
	message := c.message
	if message != "" && rule != notMet {
		message = ": " + message
	}
	facts = append(facts, validate.F("message", message))
	facts = append(facts, validate.F("clause", c.id), validate.F("profile", r.Name))
	if c.do != "" {
		facts = append(facts, validate.F("do", c.do))
	}
	says := slices.ContainsFunc(facts, func(f validate.Fact) bool { return f.Name == "do" })
	if says || c.mends != rule.Mends {
		other := *rule
		other.Mends = c.mends
		if says {
			other.Do = "{do}"
		}
		rule = &other
	}
	f := rule.At(at, facts...)
	f.Severity = c.severity
	if !r.claimed {
		f.Severity = min(f.Severity, validate.Warning)
	}
	return f
}
