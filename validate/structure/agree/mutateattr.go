package main

import (
	"fmt"

	"quoin/jdf"
	"quoin/schemas"
)

func attributeOperators() []operator {
	return []operator{
		{"drop attribute", dropAttribute},
		{"double attribute", doubleAttribute},
		{"rename attribute", renameAttribute},
		{"case of attribute", recaseAttribute},
		{"move attribute", moveAttribute},
		{"retype attribute", retypeAttribute},
		{"change value", changeValue},
		{"respell value", respellValue},
		{"case of value", recaseValue},
		{"add attribute", addAttribute},
		{"namespace of attribute", qualifyAttribute},
	}
}

// named is an attribute as people write it.
func named(a jdf.Attr) string {
	return place(a.NamePlace(), a.Owner().Local()+"/@"+a.Local())
}

// span is from the name of an attribute to its closing quote.
func span(a jdf.Attr) (start, end int) { return a.NamePlace().Start, a.Place().End + 1 }

func (d draw) attribute() (jdf.Attr, bool) {
	a := pick(d, d.attrs)
	return a, a.Valid()
}

// with writes an attribute into the start tag of an element.
func (d draw) with(n jdf.Node, attribute string) string {
	at := n.NamePlace().End
	return d.cut(at, at, " "+attribute)
}

func dropAttribute(d draw) (string, string) {
	a, ok := d.attribute()
	if !ok {
		return "", ""
	}
	start, end := span(a)
	return d.cut(start, end, ""), named(a)
}

func doubleAttribute(d draw) (string, string) {
	a, ok := d.attribute()
	if !ok {
		return "", ""
	}
	start, end := span(a)
	n := pick(d, d.nodes)
	return d.with(n, d.doc.Source.Text[start:end]), named(a) + place(n.NamePlace(), " on "+n.Local())
}

func renameAttribute(d draw) (string, string) {
	a, ok := d.attribute()
	if !ok {
		return "", ""
	}
	name := d.respelt(a.Local())
	if d.IntN(2) == 0 {
		name = pick(d, generations()[d.gen].set.AttributeNames())
	}
	p := a.NamePlace()
	return d.cut(p.Start, p.End, name), named(a) + " to " + name
}

func recaseAttribute(d draw) (string, string) {
	a, ok := d.attribute()
	if !ok {
		return "", ""
	}
	p := a.NamePlace()
	name := d.recased(d.doc.Source.Text[p.Start:p.End])
	return d.cut(p.Start, p.End, name), named(a) + " to " + name
}

func moveAttribute(d draw) (string, string) {
	a, ok := d.attribute()
	if !ok {
		return "", ""
	}
	n := pick(d, d.nodes)
	if n == a.Owner() {
		return "", ""
	}
	start, end := span(a)
	at := n.NamePlace().End
	t := d.doc.Source.Text
	what := named(a) + place(n.NamePlace(), " to "+n.Local())
	if at < start {
		return t[:at] + " " + t[start:end] + t[at:start] + t[end:], what
	}
	return t[:start] + t[end:at] + " " + t[start:end] + t[at:], what
}

// retypeAttribute gives an attribute the value of another, most often of
// another type.
func retypeAttribute(d draw) (string, string) {
	a, ok := d.attribute()
	if !ok {
		return "", ""
	}
	b, p := pick(d, d.attrs).Place(), a.Place()
	value := d.doc.Source.Text[b.Start:b.End]
	return d.cut(p.Start, p.End, value), fmt.Sprintf("%s to %q", named(a), value)
}

func (d draw) setValue(a jdf.Attr, value string) (string, string) {
	p := a.Place()
	return d.cut(p.Start, p.End, escaped(value)), fmt.Sprintf("%s to %q", named(a), value)
}

func changeValue(d draw) (string, string) {
	a, ok := d.attribute()
	if !ok {
		return "", ""
	}
	return d.setValue(a, pick(d, values))
}

func respellValue(d draw) (string, string) {
	a, ok := d.attribute()
	if !ok {
		return "", ""
	}
	return d.setValue(a, d.respelt(a.Value()))
}

func recaseValue(d draw) (string, string) {
	a, ok := d.attribute()
	if !ok {
		return "", ""
	}
	return d.setValue(a, d.recased(a.Value()))
}

// addAttribute writes an attribute that the element may have, with any value.
func addAttribute(d draw) (string, string) {
	i := d.IntN(len(d.nodes))
	if d.types[i] == nil || len(d.types[i].Attributes()) == 0 {
		return "", ""
	}
	at := pick(d, d.types[i].Attributes())
	value := d.likely(at.Type)
	return d.with(d.nodes[i], at.Name+`="`+escaped(value)+`"`),
		fmt.Sprintf("%s=%q%s", at.Name, value, place(d.nodes[i].NamePlace(), " on "+d.nodes[i].Local()))
}

// likely draws a value, half the time one that the type may well have.
func (d draw) likely(s *schemas.Simple) string {
	var some []string
	for t := s; t != nil; t = t.Item() {
		some = append(some, t.Enum()...)
	}
	switch {
	case d.IntN(2) == 0 && len(some) > 0:
		return pick(d, some)
	case d.IntN(2) == 0 && len(some) > 1:
		return pick(d, some) + " " + pick(d, some)
	}
	return pick(d, values)
}

func qualifyAttribute(d draw) (string, string) {
	a, ok := d.attribute()
	if !ok {
		return "", ""
	}
	space := pick(d, spaces)
	p, at := a.NamePlace(), a.Owner().NamePlace().End
	t := d.doc.Source.Text
	return t[:at] + ` xmlns:zz="` + space + `"` + t[at:p.Start] + "zz:" + a.Local() + t[p.End:],
		fmt.Sprintf("%s to %q", named(a), space)
}
