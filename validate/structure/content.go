package structure

import (
	"strconv"
	"strings"

	"quoin/jdf"
	"quoin/schemas"
)

// content checks the children of an element whose type has child elements or
// nothing.
func (c *checker) content(n jdf.Node, in *typeInfo, s scope) {
	base := len(c.counts)
	if len(in.model.Limits()) > 0 {
		c.counts = append(c.counts, make([]uint16, in.model.Symbols())...)
	}
	run := contentRun{checker: c, node: n, in: in, base: base}
	for child := n.FirstContent(); child.Valid(); child = child.NextContent() {
		switch child.Kind() {
		case jdf.KindText, jdf.KindCDATA:
			run.text(child)
		case jdf.KindElement:
			run.child(child, s)
		}
	}
	if in.model.Empty() && !run.hasContent && !in.Mixed() {
		run.blank()
	}
	if run.broken || !in.model.Accepts(run.state) {
		c.explain(n, in)
	} else if len(in.model.Limits()) > 0 {
		c.limits(n, in, c.counts[base:], s.version)
	}
	c.counts = c.counts[:base]
}

// contentRun is the state of walking the children of one element.
type contentRun struct {
	*checker
	node       jdf.Node
	in         *typeInfo
	base       int // of the element's part of counts
	state      schemas.State
	broken     bool // the order or number of children is wrong
	hasContent bool
	saidText   bool
}

func (r *contentRun) text(t jdf.Node) {
	r.hasContent = true
	if r.in.Mixed() || r.saidText {
		return
	}
	// White space may be written as a reference.
	if t.Kind() == jdf.KindText && !r.in.model.Empty() && strings.Trim(t.Text(), " \t\r\n") == "" {
		return
	}
	r.saidText = true
	wanted := "child elements only"
	if r.in.model.Empty() {
		wanted = "nothing"
	}
	r.report(textNotAllowed.At(t.Place(), fact("element", r.node.Local()), fact("what", "text"), fact("want", wanted)))
}

// blank reports white space in an element that must be empty. A processor takes
// no space there either.
func (r *contentRun) blank() {
	src := r.doc.Source
	for at, end := r.node.Place().End, r.node.End(); at < end; {
		rest := src.Text[at:end]
		switch {
		case strings.HasPrefix(rest, "<!--"):
			at += strings.Index(rest, "-->") + len("-->")
		case strings.HasPrefix(rest, "<?"):
			at += strings.Index(rest, "?>") + len("?>")
		case rest[0] == '<':
			return
		default:
			place := jdf.PlaceAt(src, at, at+1, r.node.Path())
			r.report(textNotAllowed.At(place, fact("element", r.node.Local()),
				fact("what", "white space"), fact("want", "nothing")))
			return
		}
	}
}

// child takes one step in the content model, and checks the child.
func (r *contentRun) child(n jdf.Node, s scope) {
	r.hasContent = true
	id := n.NameID()
	switch r.spaces[id] {
	case own:
		k := r.checker.child(r.in, id)
		if k == nil {
			r.unknownChild(n, r.node, r.in)
			return
		}
		r.step(k.symbol)
		if k.element.Abstract() {
			r.reportAbstract(n, k.element)
			return
		}
		if s.process != nil && r.node.Local() == linkPoolName {
			r.link(n, s)
		}
		r.element(n, k.element, s)
		return
	case none:
		r.report(noNamespace.At(n.NamePlace(), fact("element", n.Local()), fact("want", r.set.Namespace())))
		return
	case similar:
		r.report(lookAlike.At(n.NamePlace(), fact("got", n.Space()), fact("want", r.set.Namespace())))
	case other:
		f := otherGeneration.At(n.NamePlace(), fact("what", "element "+n.Local()), fact("repair", ""),
			fact("other", generation(n.Space())), fact("this", generation(r.set.Namespace())))
		f.Severity = otherSeverity(r.in)
		r.report(f)
	}
	if r.in.model.Foreign() >= 0 {
		r.step(r.in.model.Foreign())
	} else if r.spaces[id] == foreign || r.spaces[id] == xsi {
		r.report(foreignElement.At(n.NamePlace(), fact("element", n.Local()),
			fact("space", n.Space()), fact("parent", r.node.Local())))
	}
	r.outsider(n, s)
}

func (r *contentRun) step(symbol int) {
	if len(r.in.model.Limits()) > 0 {
		if count := &r.counts[r.base+symbol]; *count < 1<<16-1 {
			*count++
		}
	}
	if r.broken {
		return
	}
	next, ok := r.in.model.Next(r.state, symbol)
	if !ok {
		r.broken = true
		return
	}
	r.state = next
}

// outsider looks into an element that the schema says nothing of. Elements of
// the standard inside it are checked, as a processor that is lax would do, and
// so is the element itself when it says that it has a type of the standard.
func (c *checker) outsider(n jdf.Node, s scope) {
	if at := c.xsiTypeOf(n); at.Valid() {
		if t := c.xsiType(n, at, nil); t != nil {
			c.typed(n, c.info(t), t.Foreign(), s)
			return
		}
	}
	for a := range n.Attrs() {
		if c.spaces[a.NameID()] == similar {
			c.report(lookAlike.At(a.Place(), fact("got", a.Name().Space), fact("want", c.set.Namespace())))
		}
	}
	for child := range n.Children() {
		space := c.spaces[child.NameID()]
		if space == own {
			if global := c.set.Element(child.Local()); global != nil {
				if global.Abstract() {
					c.reportAbstract(child, global)
				} else {
					c.element(child, global, s)
				}
				continue
			}
		}
		if space == similar && child.Space() != n.Space() {
			c.report(lookAlike.At(child.NamePlace(), fact("got", child.Space()), fact("want", c.set.Namespace())))
		}
		c.outsider(child, s)
	}
}

// explain says why the children do not follow the content model. It is only
// called when they do not, and may take its time.
func (c *checker) explain(n jdf.Node, in *typeInfo) {
	x := &explainer{checker: c, node: n, in: in}
	for child := range n.Children() {
		symbol := missing
		switch c.spaces[child.NameID()] {
		case own:
			if k := c.child(in, child.NameID()); k != nil {
				symbol = k.symbol
			}
		case none:
		default:
			symbol = in.model.Foreign()
		}
		if symbol >= 0 {
			x.nodes = append(x.nodes, child)
			x.symbols = append(x.symbols, symbol)
		}
	}
	if !x.bounds() {
		x.order()
	}
}

// explainer has the children that a content model knows.
type explainer struct {
	*checker
	node    jdf.Node
	in      *typeInfo
	nodes   []jdf.Node
	symbols []int
}

// name is the name of a symbol, as a message says it.
func (x *explainer) name(symbol int) string {
	if symbol == x.in.model.Foreign() {
		return "an element of another namespace"
	}
	return x.in.model.Names()[symbol]
}

// bounds reports what is there too often or not at all, and tells whether that
// was so.
func (x *explainer) bounds() (found bool) {
	count := make([]int, x.in.model.Symbols())
	last := make([]jdf.Node, len(count))
	most := make([]int, len(count))
	for symbol := range count {
		most[symbol] = x.in.model.Bound(symbol).Max
	}
	for i, symbol := range x.symbols {
		count[symbol]++
		if most[symbol] != schemas.Unbounded && count[symbol] == most[symbol]+1 {
			last[symbol] = x.nodes[i]
		}
	}
	for symbol, got := range count {
		least := x.in.model.Bound(symbol).Min
		switch {
		case last[symbol].Valid():
			found = true
			x.report(tooMany.At(last[symbol].NamePlace(), fact("parent", x.node.Local()),
				fact("element", x.name(symbol)), fact("got", strconv.Itoa(got)),
				fact("most", strconv.Itoa(most[symbol]))))
		case got < least:
			found = true
			x.reportMissing(x.name(symbol), got, least)
		}
	}
	return found
}

func (x *explainer) reportMissing(name string, got, least int) {
	x.report(missingElement.At(x.node.Place(), fact("parent", x.node.Local()),
		fact("element", name), fact("count", countHint(got, least))))
}

// countHint tells how many are wanted, where one would not do.
func countHint(got, least int) string {
	if least == 1 {
		return ""
	}
	return "; want " + strconv.Itoa(least) + ", got " + strconv.Itoa(got)
}

// order reports the children that stand where they may not, although their
// number is right.
func (x *explainer) order() {
	m := x.in.model
	state, said := schemas.State(0), false
	var tries []int // children before which the state was a new one
	seen := map[schemas.State]bool{}
	var taken []int
	known := map[int]func(i int){} // by symbol, how to report one more
	for i, symbol := range x.symbols {
		if next, ok := m.Next(state, symbol); ok {
			if !seen[state] {
				seen[state] = true
				tries = append(tries, len(taken))
			}
			taken = append(taken, i)
			state = next
			continue
		}
		said = true
		if known[symbol] == nil {
			known[symbol] = x.misplaced(symbol, tries, taken)
		}
		known[symbol](i)
	}
	if !said && !m.Accepts(state) {
		x.reportMissing(x.expected(state), 0, 1)
	}
}

// misplaced finds out why a child can not stand behind those taken, and returns
// what reports it: if it could stand before one of them the order is wrong, else
// something shuts it out. It tries the places where the state of the model was
// new, since it would fare the same in the others.
func (x *explainer) misplaced(symbol int, tries, taken []int) (report func(i int)) {
	m := x.in.model
	var state schemas.State
	at := 0
	for _, try := range tries {
		for ; at < try; at++ {
			state, _ = m.Next(state, x.symbols[taken[at]])
		}
		next, ok := m.Next(state, symbol)
		for k := try; ok && k < len(taken); k++ {
			next, ok = m.Next(next, x.symbols[taken[k]])
		}
		if ok {
			after := x.nodes[taken[try]].Local()
			return func(i int) {
				x.report(wrongOrder.At(x.nodes[i].NamePlace(), fact("element", x.nodes[i].Local()),
					fact("after", after), fact("parent", x.node.Local())))
			}
		}
	}
	other := x.node.Local()
	if len(taken) > 0 {
		other = x.nodes[taken[len(taken)-1]].Local()
	}
	return func(i int) {
		x.report(eitherOr.At(x.nodes[i].NamePlace(), fact("element", x.nodes[i].Local()),
			fact("other", other), fact("parent", x.node.Local())))
	}
}

// expected lists what may come next.
func (x *explainer) expected(state schemas.State) string {
	var names []string
	for symbol := range x.in.model.Symbols() {
		if _, ok := x.in.model.Next(state, symbol); ok {
			names = append(names, x.name(symbol))
		}
	}
	return orList(names)
}
