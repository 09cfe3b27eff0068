package main

import (
	"fmt"
	"strings"

	"quoin/jdf"
)

func elementOperators() []operator {
	return []operator{
		{"drop element", dropElement},
		{"double element", doubleElement},
		{"rename element", renameElement},
		{"case of element", recaseElement},
		{"move element", moveElement},
		{"retype element", retypeElement},
		{"swap elements", swapElements},
		{"add element", addElement},
		{"namespace of element", foreignElement},
		{"text", addText},
		{"empty element", emptyElement},
	}
}

// inner draws an element that is not the root.
func (d draw) inner() (jdf.Node, bool) {
	if len(d.nodes) < 2 {
		return jdf.Node{}, false
	}
	return d.nodes[1+d.IntN(len(d.nodes)-1)], true
}

func called(n jdf.Node) string { return place(n.NamePlace(), n.Local()) }

func (d draw) source(n jdf.Node) string { return d.doc.Source.Text[n.Place().Start:n.End()] }

func dropElement(d draw) (string, string) {
	n, ok := d.inner()
	if !ok {
		return "", ""
	}
	return d.cut(n.Place().Start, n.End(), ""), called(n)
}

func doubleElement(d draw) (string, string) {
	n, ok := d.inner()
	if !ok {
		return "", ""
	}
	return d.cut(n.End(), n.End(), d.source(n)), called(n)
}

// renamed gives an element another name in both tags, and more attributes.
func (d draw) renamed(n jdf.Node, name, attributes string) string {
	p := n.NamePlace()
	whole := d.source(n)
	old := d.doc.Source.Text[p.Start:p.End]
	start := len("<") + len(old)
	out := "<" + name + attributes + whole[start:]
	if !strings.HasSuffix(whole, "/>") {
		at := strings.LastIndex(out, "</"+old)
		out = out[:at] + "</" + name + out[at+len("</")+len(old):]
	}
	return d.cut(n.Place().Start, n.End(), out)
}

func renameElement(d draw) (string, string) {
	n := pick(d, d.nodes)
	var name string
	switch d.IntN(3) {
	case 0:
		name = d.respelt(n.Local())
	case 1:
		name = pick(d, d.nodes).Local()
	default:
		name = pick(d, generations()[d.gen].set.Names())
	}
	return d.renamed(n, name, ""), called(n) + " to " + name
}

func recaseElement(d draw) (string, string) {
	n := pick(d, d.nodes)
	name := d.recased(n.Local())
	return d.renamed(n, name, ""), called(n) + " to " + name
}

func moveElement(d draw) (string, string) {
	n, ok := d.inner()
	into := pick(d, d.nodes)
	start, end := n.Place().Start, n.End()
	if !ok || into.Place().Start >= start && into.End() <= end || strings.HasSuffix(d.source(into), "/>") {
		return "", ""
	}
	t := d.doc.Source.Text
	at := into.Place().End
	if d.IntN(2) == 0 {
		at = into.End() - len("</>") - into.NamePlace().End + into.NamePlace().Start
	}
	what := called(n) + " into " + called(into)
	switch {
	case at <= start:
		return t[:at] + t[start:end] + t[at:start] + t[end:], what
	case at >= end:
		return t[:start] + t[end:at] + t[start:end] + t[at:], what
	}
	return "", ""
}

// retypeElement says or changes xsi:type.
func retypeElement(d draw) (string, string) {
	i := d.IntN(len(d.nodes))
	n := d.nodes[i]
	set := generations()[d.gen].set
	name := pick(d, set.Names())
	if t := d.types[i]; t != nil && !t.Anonymous() && d.IntN(4) > 0 {
		if under := set.DerivedTypes(t.Name()); len(under) > 0 && d.IntN(2) == 0 {
			name = pick(d, under)
		} else {
			name = t.Name()
		}
	}
	tag := d.doc.Source.Text[n.NamePlace().Start:n.NamePlace().End]
	if prefix, _, ok := strings.Cut(tag, ":"); ok && d.IntN(4) > 0 {
		name = prefix + ":" + name
	}
	if at := n.AttrNS(jdf.NamespaceXSI, "type"); at.Valid() {
		return d.setValue(at, name)
	}
	return d.with(n, `xmlns:xi="`+jdf.NamespaceXSI+`" xi:type="`+name+`"`), called(n) + " to xsi:type " + name
}

func swapElements(d draw) (string, string) {
	n, ok := d.inner()
	if !ok {
		return "", ""
	}
	next := n.NextContent()
	for next.Valid() && next.Kind() != jdf.KindElement {
		next = next.NextContent()
	}
	if !next.Valid() {
		return "", ""
	}
	t := d.doc.Source.Text
	between := t[n.End():next.Place().Start]
	return d.cut(n.Place().Start, next.End(), d.source(next)+between+d.source(n)), called(n) + " and " + called(next)
}

// addElement writes an empty child, most often one that may stand there. It
// comes in front or last.
func addElement(d draw) (string, string) {
	i := d.IntN(len(d.nodes))
	n := d.nodes[i]
	name := pick(d, generations()[d.gen].set.Names())
	if t := d.types[i]; t != nil && d.IntN(4) > 0 {
		if names := t.Model().Names(); len(names) > 0 {
			name = pick(d, names)
		}
	}
	child := "<" + name + "/>"
	if d.IntN(4) == 0 {
		child = `<zz:x xmlns:zz="` + pick(d, spaces) + `">` + child + `</zz:x>`
	}
	return d.filled(n, child), name + " in " + called(n)
}

// filled puts content into an element, in front of what it has or after it.
func (d draw) filled(n jdf.Node, content string) string {
	p := n.NamePlace()
	tag := d.doc.Source.Text[p.Start:p.End]
	if strings.HasSuffix(d.source(n), "/>") {
		return d.cut(n.End()-len("/>"), n.End(), ">"+content+"</"+tag+">")
	}
	at := n.Place().End
	if d.IntN(2) == 0 {
		at = n.End() - len("</>") - len(tag)
	}
	return d.cut(at, at, content)
}

func foreignElement(d draw) (string, string) {
	n := pick(d, d.nodes)
	space := pick(d, spaces)
	what := fmt.Sprintf("%s to %q", called(n), space)
	if d.IntN(2) == 0 {
		return d.renamed(n, "zz:"+n.Local(), ` xmlns:zz="`+space+`"`), what
	}
	p := n.NamePlace()
	return d.renamed(n, d.doc.Source.Text[p.Start:p.End], ` xmlns="`+space+`"`), what + " with all inside"
}

func addText(d draw) (string, string) {
	n := pick(d, d.nodes)
	content := pick(d, []string{"x", " ", "&#32;", "<![CDATA[ ]]>", "<!-- -->", "<?x y?>", "1", "2024-02-29T10:00:00Z"})
	return d.filled(n, content), fmt.Sprintf("%q in %s", content, called(n))
}

// emptyElement takes the content of an element away.
func emptyElement(d draw) (string, string) {
	n := pick(d, d.nodes)
	whole := d.source(n)
	at := strings.LastIndex(whole, "</")
	if strings.HasSuffix(whole, "/>") || at < 0 {
		return "", ""
	}
	return d.cut(n.Place().End, n.Place().Start+at, ""), called(n)
}
