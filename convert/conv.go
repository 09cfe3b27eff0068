package convert

import (
	"strings"

	"quoin/jdf"
	"quoin/schemas"
)

// conv is one conversion on its way: what both directions share.
type conv struct {
	table    *table
	led      *ledger
	from, to *schemas.Set
	upward   bool // from the 1.x to the 2.x generation
	keep     bool // as private data what has no counterpart
	same     bool // inside one generation: names that have no row stay
	version  schemas.Version
	tokens   map[string]string       // token of a text
	taken    map[string]string       // text of a token
	words    map[[6]string]string    // reasons, each kept once, by what they are made of
	own      map[jdf.Node][]jdf.Node // content of partitioned elements without the partitions
	hooks    map[string]hook         // children that code converts, by "Parent/Child" or "*/Child"
	attrs    map[string]attrHook

	// follow finds what a reference element of the 1.x generation names.
	follow func(n jdf.Node) jdf.Node
	// refer makes the value of an IDREF attribute that names an element.
	refer func(n jdf.Node, kind string, f *frame) (id string, ok bool)
	// point makes the reference element of the 1.x generation for an IDREF.
	point func(id, kind string, at int32, f *frame) bool
}

// hook converts a child that the table can not; it reports whether it did.
type hook func(n jdf.Node, f *frame) bool

// attrHook converts an attribute that the table can not, by "Element/@Attr".
type attrHook func(a jdf.Attr, at int32, f *frame) bool

// frame is an element of the target that is being filled.
type frame struct {
	e     *elem
	t     *schemas.Type // nil for what the dictionary does not know
	up    *frame        // the wrapper around it: Resource, then ResourceSet
	s     *section
	made  map[string]*frame // children made on the way to somewhere deeper
	owner jdf.Node          // the source element that the frame was made for
	full  bool              // the partition of several Resources is filled
}

func newConv(led *ledger, from, to *schemas.Set) *conv {
	return &conv{
		table: theTable(), led: led, from: from, to: to,
		tokens: map[string]string{}, taken: map[string]string{}, words: map[[6]string]string{},
		own:   map[jdf.Node][]jdf.Node{},
		hooks: map[string]hook{}, attrs: map[string]attrHook{},
		follow: func(n jdf.Node) jdf.Node { return n },
		refer:  func(jdf.Node, string, *frame) (string, bool) { return "", false },
		point:  func(string, string, int32, *frame) bool { return false },
	}
}

// say keeps a reason once, however often it is given.
func (c *conv) say(parts ...string) string {
	var key [6]string
	copy(key[:], parts)
	if s, ok := c.words[key]; ok {
		return s
	}
	s := strings.Join(parts, "")
	c.words[key] = s
	return s
}

// sectionOf is the section for a source element that becomes a target element.
func (c *conv) sectionOf(from, to string) *section {
	list := c.table.down[from]
	if c.upward {
		list = c.table.up[from]
	}
	for _, s := range list {
		other := s.left
		if c.upward {
			other = s.right
		}
		if other == to {
			return s
		}
	}
	return nil
}

// trieOf is the rows of a section by the paths of the source.
func (c *conv) trieOf(s *section) *trie {
	switch {
	case s == nil:
		return &trie{}
	case c.upward:
		return s.up
	}
	return s.down
}

// other is the path of a row on the side of the target.
func (c *conv) other(r *row) path {
	if c.upward {
		return r.right
	}
	return r.left
}

func (c *conv) mine(r *row) path {
	if c.upward {
		return r.left
	}
	return r.right
}

// typeOf is the type of a child of an element of the target.
func (c *conv) typeOf(parent *schemas.Type, local string) *schemas.Type {
	if parent != nil {
		if _, e := parent.Model().Child(local); e != nil {
			return e.Type()
		}
		return nil
	}
	if e := c.to.Element(local); e != nil {
		return e.Type()
	}
	return nil
}

// open makes a child element of a frame for a source element, or for none.
func (c *conv) open(f *frame, local string, n jdf.Node) *frame {
	g := &frame{e: f.e.add(local), t: c.typeOf(f.t, local), owner: n}
	if n.Valid() {
		g.s = c.sectionOf(n.Local(), local)
		c.mark(g.e, n, c.renamed(n.Local(), local))
	}
	return g
}

// mark notes that a source element went into a target element.
func (c *conv) mark(e *elem, n jdf.Node, why string) {
	at := c.led.of(n)
	e.slots = append(e.slots, at)
	c.led.keep(at, why)
}

func (c *conv) renamed(from, to string) string {
	if from == to {
		return ""
	}
	return c.say("is ", to, " there")
}

// put writes an attribute. What does not fit the type there is lost.
func (c *conv) put(f *frame, name, v string, at int32, why string) bool {
	if f.t == nil {
		c.led.lose(at, c.say(f.e.local, " is unknown there"))
		return false
	}
	a := f.t.Attribute(name)
	if a == nil {
		c.led.lose(at, c.say(f.e.local, " has no ", name))
		return false
	}
	if f.e.has(name) {
		if f.e.get(name) == v && why == "" {
			c.led.keep(at, c.say("stands there once for several places"))
			return true
		}
		c.led.lose(at, c.say(f.e.local, "/@", name, " has another value already"))
		return false
	}
	out, narrowed, ok := c.fitValue(v, a.Type)
	if c.upward && a.Type.Name() == "IntegerRange" {
		out, narrowed, ok = oneRange(v)
	}
	if !ok {
		c.led.lose(at, c.say("its value is not allowed in ", f.e.local, "/@", name))
		return false
	}
	if why == "" {
		why = c.say(narrowed)
	}
	f.e.attrs = append(f.e.attrs, attr{name: name, value: out, slot: at})
	c.led.keep(at, why)
	return true
}

// copyForeign takes an element of another namespace over as it stands, with all
// that is in it.
func (c *conv) copyForeign(n jdf.Node) *elem {
	e := &elem{space: n.Space(), local: n.Local()}
	if e.space == c.to.Namespace() {
		e.space = ""
	}
	c.mark(e, n, "")
	at := c.led.of(n)
	for a := range n.Attrs() {
		at++
		if a.Name().Space == jdf.NamespaceXSI && !strings.Contains(a.Value(), ":") {
			c.led.lose(at, "the default namespace is another there")
			continue
		}
		e.attrs = append(e.attrs, attr{nameIn(a.Name().Space, a.Local()), a.Value(), at})
		c.led.keep(at, "")
	}
	for p := range n.Content() {
		switch p.Kind() {
		case jdf.KindElement:
			e.kids = append(e.kids, c.copyForeign(p))
		case jdf.KindText, jdf.KindCDATA:
			if len(e.kids) == 0 {
				c.text(e, p)
				continue
			}
			piece := &elem{}
			c.text(piece, p)
			e.kids = append(e.kids, piece)
		default:
			c.led.loseAll(p, remarkLost)
		}
	}
	return e
}

const remarkLost = "elements are put into another order, and a remark would stand beside the wrong one"

func (c *conv) text(e *elem, p jdf.Node) {
	e.text += p.Text()
	e.slots = append(e.slots, c.led.of(p))
	c.led.keep(c.led.of(p), "")
}

// foreign reports whether an element or attribute is of a private namespace.
func foreign(space string) bool {
	switch space {
	case jdf.NamespaceJDF, jdf.NamespaceXJDF, "":
		return false
	}
	return true
}
