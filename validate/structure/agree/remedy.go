package main

import (
	"strconv"
	"strings"

	"quoin/jdf"
)

// edits are attributes to write into start tags, by element.
type edits map[jdf.Node]string

// apply writes them.
func (e edits) apply(s *sample) string {
	var out strings.Builder
	from := 0
	for _, n := range s.nodes {
		if add, ok := e[n]; ok {
			at := n.NamePlace().End
			out.WriteString(s.doc.Source.Text[from:at] + add)
			from = at
		}
	}
	return out.String() + s.doc.Source.Text[from:]
}

// writeTypes gives each node and message without xsi:type the one that its Type
// means.
func writeTypes(s *sample, _ verdict) string {
	set := generations()[s.gen].set
	e := edits{}
	for _, n := range s.nodes {
		name := typeName(n)
		if name == "" || n.AttrNS(jdf.NamespaceXSI, "type").Valid() || set.Type(name) == nil {
			continue
		}
		prefix := ""
		if space, _ := n.Lookup(""); space != set.Namespace() {
			prefix = "zt:"
		}
		e[n] = ` xmlns:zt="` + set.Namespace() + `" xmlns:zi="` + jdf.NamespaceXSI + `" zi:type="` + prefix + name + `"`
	}
	return e.apply(s)
}

// freshIDs gives each ID that was given before another value.
func freshIDs(s *sample, _ verdict) string {
	seen := map[string]bool{}
	var out strings.Builder
	from := 0
	for i, a := range s.attrs {
		if a.Name().Space != "" || !strings.HasSuffix(a.Local(), "ID") {
			continue
		}
		p := a.Place()
		value := strings.Trim(a.Value(), " \t\r\n")
		if seen[value] {
			out.WriteString(s.doc.Source.Text[from:p.End] + "-again-" + strconv.Itoa(i))
			from = p.End
		}
		seen[value] = true
	}
	return out.String() + s.doc.Source.Text[from:]
}

// inherit writes out what partitions inherit, and what a whole leaves to its
// first partition.
func inherit(s *sample, theirs verdict) string {
	e := edits{}
	for _, n := range s.nodes {
		for _, say := range theirs.says {
			_, rest, _ := strings.Cut(say, "ttribute '")
			attr, rest, _ := strings.Cut(rest, "'")
			if !strings.HasPrefix(rest, " is required but missing") || n.Has(attr) {
				continue
			}
			if a := around(n, attr); a.Valid() {
				e[n] = " " + attr + `="` + escaped(a.Value()) + `"`
			}
		}
	}
	return e.apply(s)
}

// around finds an attribute in the partitions of a resource: in those outside of
// it, or in all those inside.
func around(n jdf.Node, attr string) jdf.Attr {
	for p := n.Parent(); p.Valid() && p.NameID() == n.NameID(); p = p.Parent() {
		if p.Has(attr) {
			return p.Attr(attr)
		}
	}
	return inside(n, attr)
}

// inside finds the attribute of the first partition when all have it.
func inside(n jdf.Node, attr string) (first jdf.Attr) {
	for p := range n.Children() {
		if p.NameID() != n.NameID() {
			continue
		}
		a := p.Attr(attr)
		if !a.Valid() {
			a = inside(p, attr)
		}
		if !a.Valid() {
			return a
		}
		if !first.Valid() {
			first = a
		}
	}
	return first
}

// withoutPrivateTypes takes out xsi:type that names a type of another
// namespace. Where no prefix is declared it is no name at all.
func withoutPrivateTypes(s *sample, _ verdict) string {
	var out strings.Builder
	from := 0
	for _, a := range s.attrs {
		prefix, _, ok := strings.Cut(strings.Trim(a.Value(), " \t\r\n"), ":")
		if !ok {
			prefix = ""
		}
		space, declared := a.Owner().Lookup(prefix)
		if a.Name().Space != jdf.NamespaceXSI || a.Local() != "type" || !declared ||
			strings.HasPrefix(space, "http://www.CIP4.org/JDFSchema") {
			continue
		}
		start, end := span(a)
		out.WriteString(s.doc.Source.Text[from:start])
		from = end
	}
	return out.String() + s.doc.Source.Text[from:]
}

// trimmed takes away the white space around the values of attributes.
func trimmed(s *sample, _ verdict) string {
	var out strings.Builder
	from := 0
	for _, a := range s.attrs {
		p := a.Place()
		out.WriteString(s.doc.Source.Text[from:p.Start] + escaped(strings.Trim(a.Value(), " \t\r\n")))
		from = p.End
	}
	return out.String() + s.doc.Source.Text[from:]
}
