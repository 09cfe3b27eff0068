package convert

import (
	"iter"
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/schemas"
)

// fill converts the attributes and content of a source element into a frame.
// With skip, attributes and children can be left to the caller.
func (c *conv) fill(n jdf.Node, f *frame, skip func(local string) bool) {
	c.fillBy(n, f, c.trieOf(f.s), true, skip)
}

// fillBy does so by the rows of a trie; plain tells whether names without row
// keep their name in the frame.
func (c *conv) fillBy(n jdf.Node, f *frame, tr *trie, plain bool, skip func(local string) bool) {
	at := c.led.of(n)
	for a := range n.Attrs() {
		at++
		if skip == nil || foreign(a.Name().Space) || !skip("@"+a.Local()) {
			c.attribute(a, at, f, tr, plain)
		}
	}
	for p := range c.contentOf(n) {
		switch {
		case p.Kind() == jdf.KindText || p.Kind() == jdf.KindCDATA:
			if f.t != nil && (f.t.Text() != nil || f.t.Mixed()) {
				c.text(f.e, p)
			} else {
				c.led.loseAll(p, c.say(f.e.local, " holds no text"))
			}
		case p.Kind() != jdf.KindElement:
			c.led.loseAll(p, remarkLost)
		case skip == nil || foreign(p.Space()) || !skip(p.Local()):
			c.child(p, f, tr, plain)
		}
	}
}

// contentOf is what an element holds. The partitions of a resource are left out:
// they are asked for once for each leaf, and there may be many.
func (c *conv) contentOf(n jdf.Node) iter.Seq[jdf.Node] {
	if !c.upward || !n.Child(n.Local()).Valid() || !partitioned(n) {
		return n.Content()
	}
	own, ok := c.own[n]
	if !ok {
		for p := range n.Content() {
			if !p.Is(n.Local()) || p.Has("ID") {
				own = append(own, p)
			}
		}
		c.own[n] = own
	}
	return slices.Values(own)
}

// partitioned reports whether an element is a resource with partitions, or one of
// them, and not one that may hold others of its kind.
func partitioned(n jdf.Node) bool {
	for p := n; p.Valid() && p.NameID() == n.NameID(); p = p.Parent() {
		if p.Has("PartIDKeys") {
			return true
		}
	}
	return false
}

// attribute converts one attribute, and keeps it aside where it is asked for
// and would be lost.
func (c *conv) attribute(a jdf.Attr, at int32, f *frame, tr *trie, plain bool) {
	c.oneAttribute(a, at, f, tr, plain)
	c.aside(a, at, f)
}

func (c *conv) oneAttribute(a jdf.Attr, at int32, f *frame, tr *trie, plain bool) {
	if space := a.Name().Space; space != "" {
		c.foreignAttribute(a, at, f)
		return
	}
	if len(c.attrs) > 0 {
		if h := c.attrs[a.Owner().Local()+"/@"+a.Local()]; h != nil && h(a, at, f) {
			return
		}
	}
	v, why := a.Value(), ""
	if !c.upward && !c.same {
		v, why = c.manyRange(a.Owner().Local(), a.Local(), v)
	}
	for _, r := range tr.attrs[a.Local()] {
		if c.applies(r, a.Owner()) {
			c.byRow(r, v, at, f)
			return
		}
	}
	if f.up != nil && c.upward && f.up.e.local == "Resource" || f.up != nil && c.upward && f.up.e.local == "Intent" {
		if s := c.sectionOf("Resource", "Resource"); s != nil {
			for _, r := range s.up.attrs[a.Local()] {
				c.byRow(r, a.Value(), at, f.up)
				return
			}
		}
	}
	name := a.Local()
	switch {
	case !plain || f.t == nil:
		c.led.lose(at, c.say(f.e.local, " has no ", name))
	case f.t.Attribute(name) != nil:
		c.put(f, name, v, at, why)
	case f.up != nil && c.upward && f.up.t.Attribute(name) != nil:
		c.put(f.up, name, a.Value(), at, c.say("moves to ", f.up.e.local))
	case !c.upward && !c.same && c.spread(name, a.Value(), at, f):
	default:
		c.led.lose(at, c.say(f.e.local, " has no ", name))
	}
}

// foreignAttribute carries an attribute of a private namespace, which nearly
// every element may have; fit moves it outwards from those that may not.
func (c *conv) foreignAttribute(a jdf.Attr, at int32, f *frame) {
	name := a.Name()
	switch {
	case name.Space == jdf.NamespaceXSI && name.Local == "type":
		f.e.slots = append(f.e.slots, at)
		c.led.keep(at, "the name of the element says it")
	case name.Space == jdf.NamespaceXSI:
		c.led.lose(at, "it names the schema of the other generation")
	case c.ours(name.Space):
		c.homeward(a, at, f)
	case name.Space == jdf.NamespaceJDF || name.Space == jdf.NamespaceXJDF:
		c.led.lose(at, "attributes of the standard have no prefix")
	default:
		for _, b := range f.e.attrs {
			if b.name == nameIn(name.Space, name.Local) {
				c.led.lose(at, "the partition has a value of its own")
				return
			}
		}
		f.e.attrs = append(f.e.attrs, attr{nameIn(name.Space, name.Local), a.Value(), at})
		c.led.keep(at, "")
	}
}

// applies holds the selector of the last step of a row against an element.
func (c *conv) applies(r *row, n jdf.Node) bool {
	p := c.mine(r)
	if len(p.steps) == 0 {
		return true
	}
	last := p.steps[len(p.steps)-1]
	return last.key == "" || n.Get(last.key) == last.value
}

// byRow writes a value to where a row says.
func (c *conv) byRow(r *row, v string, at int32, f *frame) {
	to := c.other(r)
	switch {
	case to.said:
		f.e.slots = append(f.e.slots, at)
		c.led.keep(at, r.note)
		return
	case to.none:
		c.led.lose(at, r.note)
		return
	}
	why := c.movedBy(r)
	if r.values != "" {
		mapped, dropped := c.table.mapped(r.values, v, c.upward)
		if mapped == "" && dropped {
			c.led.lose(at, c.say("the value ", v, " has no counterpart"))
			return
		}
		if mapped != v && mapped != "" {
			v, why = mapped, c.say("the words differ between the generations")
		}
	}
	g, last := c.reach(to, f)
	if g == nil {
		c.led.lose(at, c.say("there is nothing around it that takes ", to.String()))
		return
	}
	if to.attr != "" {
		c.put(g, to.attr, v, at, why)
		return
	}
	if !c.toElement(g, last, v, at, why) {
		c.led.lose(at, c.say(g.e.local, " can not take it as ", last.name))
	}
}

// movedBy is the reason of a change by a row, or "" when only the element
// around it has another name.
func (c *conv) movedBy(r *row) string {
	a, b := c.mine(r), c.other(r)
	if a.attr == b.attr && len(a.steps) == 0 && len(b.steps) == 0 && b.up == 0 {
		return ""
	}
	return c.say("is ", b.String(), " there")
}

// reach finds or makes the elements on a path. A path to an element stops
// before the last step, which is returned.
func (c *conv) reach(p path, f *frame) (*frame, step) {
	for range p.up {
		if f = f.up; f == nil {
			return nil, step{}
		}
	}
	steps := p.steps
	var last step
	if p.attr == "" && len(steps) > 0 {
		last, steps = steps[len(steps)-1], steps[:len(steps)-1]
	}
	for _, s := range steps {
		key := s.name + "=" + s.value
		g := f.made[key]
		if g == nil {
			g = c.open(f, s.name, jdf.Node{})
			if s.key != "" {
				g.e.set(s.key, s.value)
			}
			if f.made == nil {
				f.made = map[string]*frame{}
			}
			f.made[key] = g
		}
		f = g
	}
	return f, last
}

// isReference reports whether a type holds ids of other elements.
func isReference(t *schemas.Simple) bool {
	if t.Variety() == schemas.List {
		t = t.Item()
	}
	return t != nil && t.Builtin() == "IDREF"
}

// child converts one child element, and keeps it aside where it is asked for and
// would be lost.
func (c *conv) child(n jdf.Node, f *frame, tr *trie, plain bool) {
	c.oneChild(n, f, tr, plain)
	c.asideElement(n, f)
}

func (c *conv) oneChild(n jdf.Node, f *frame, tr *trie, plain bool) {
	if foreign(n.Space()) || c.ours(n.Space()) {
		f.e.kids = append(f.e.kids, c.copyForeign(n))
		return
	}
	owner := ""
	if f.owner.Valid() {
		owner = f.owner.Local()
	}
	for _, key := range []string{owner + "/" + n.Local(), "*/" + n.Local()} {
		if h := c.hooks[key]; h != nil && h(n, f) {
			return
		}
	}
	target, kind := n, n.Local()
	if c.upward && n.Has("rRef") && strings.HasSuffix(kind, "Ref") {
		kind = strings.TrimSuffix(kind, "Ref")
		if target = c.follow(n); !target.Valid() {
			c.led.loseAll(n, "it refers to nothing")
			return
		}
	}
	sub := tr.kids[kind]
	if sub == nil {
		sub = tr.kids[n.Local()]
	}
	if sub != nil {
		for _, r := range sub.rows {
			if c.applies(r, target) {
				c.childByRow(r, n, target, kind, f)
				return
			}
		}
		if sub.inner() {
			c.dissolve(n, target, f, sub)
			return
		}
	}
	if plain && c.childByName(n, target, kind, f) {
		return
	}
	// What any resource may hold stands in the Resource around it there.
	if plain && c.upward && f.up != nil && f.up.e.local == "Resource" && n.Is("Comment", "GeneralID") &&
		c.childByName(n, target, kind, f.up) {
		return
	}
	c.led.loseAll(n, c.say(f.e.local, " has no ", kind))
}

// dissolve puts what is in an element into the frame of its parent.
func (c *conv) dissolve(n, target jdf.Node, f *frame, sub *trie) {
	c.mark(f.e, n, c.say("what it holds moves to ", f.e.local))
	if target != n {
		c.refMoved(n, f)
		c.mark(f.e, target, c.say("what it holds moves to ", f.e.local))
	}
	c.fillBy(target, f, sub, false, func(local string) bool {
		return target != n && strings.HasPrefix(local, "@") && sub.attrs[local[1:]] == nil
	})
}

// refMoved notes that a reference element is replaced by what it names.
func (c *conv) refMoved(n jdf.Node, f *frame) {
	at := c.led.of(n)
	for range n.Attrs() {
		at++
		f.e.slots = append(f.e.slots, at)
		c.led.keep(at, "what it names stands in its place")
	}
	for p := range n.Content() {
		c.led.loseAll(p, "what it names stands in its place")
	}
}

func (c *conv) childByRow(r *row, n, target jdf.Node, kind string, f *frame) {
	to := c.other(r)
	if to.none {
		c.led.loseAll(n, r.note)
		return
	}
	g, last := c.reach(to, f)
	switch {
	case g == nil:
		c.led.loseAll(n, c.say("there is nothing around it that takes ", to.String()))
	case to.attr != "":
		c.toAttribute(g, to.attr, r.values, n, target, kind)
	default:
		h := c.open(g, last.name, n)
		if last.key != "" {
			h.e.set(last.key, last.value)
		}
		if h.s == nil {
			h.s = c.sectionOf(kind, last.name)
		}
		c.inside(n, target, h)
	}
}

// inside fills a frame with an element, or with what it refers to.
func (c *conv) inside(n, target jdf.Node, g *frame) {
	if target == n {
		c.fill(n, g, nil)
		return
	}
	c.refMoved(n, g)
	c.mark(g.e, target, "stands where it was referred to")
	skip := c.generic()
	c.fill(target, g, func(local string) bool { return skip(local) || local == target.Local() })
	const why = "the resource stands where it was referred to, and needs no name and state of its own"
	at := c.led.of(target)
	for a := range target.Attrs() {
		at++
		if skip("@" + a.Local()) {
			c.led.lose(at, why)
		}
	}
	for p := range target.ChildrenNamed(target.Local()) {
		c.led.loseAll(p, "a partitioned resource can not stand where it was referred to")
	}
}
