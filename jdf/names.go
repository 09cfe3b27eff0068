package jdf

import (
	"strconv"
	"strings"
)

// unboundSpace stands before a prefix that nothing declares, so that what
// carries it is foreign to every later stage.
const unboundSpace = "unbound:"

// rawName is a name as written, taken apart once.
type rawName struct {
	text          string
	prefix, local string
	bad           bool

	elem, attr expansion // as the name of an element, and of an attribute
}

// expansion is what a name was last found to mean, good while the bindings in
// force are those of the scope; 0 is none.
type expansion struct{ scope, name int32 }

// declares reports whether an attribute of the name is a namespace declaration.
func (r *rawName) declares() bool { return r.text == "xmlns" || r.prefix == "xmlns" && !r.bad }

// binding is a prefix with its namespace, and what it hides.
type binding struct {
	prefix, space string
	outer         int32 // index of the binding of the same prefix outside, or -1
}

// recentBits is the size of the table of recent names, as a power of two.
const recentBits = 9

// raw interns a name as written. A ticket uses few
// names over and over, so that a table of the recent ones answers most often.
func (s *scanner) raw(text string) int32 {
	var slot uint32
	if n := len(text); n > 0 {
		slot = uint32(n) + uint32(text[0])*31 + uint32(text[n/2])*131 + uint32(text[n-1])*521
		slot = slot * 0x9E3779B1 >> (32 - recentBits)
	}
	if id := s.recent[slot]; id < int32(len(s.rawNames)) && s.rawNames[id].text == text {
		return id
	}
	id, ok := s.raws[text]
	if !ok {
		id = s.newRaw(strings.Clone(text))
	}
	s.recent[slot] = id
	return id
}

// newRaw takes a name that is met for the first time. The number of such names
// is bounded by that of the names they mean, and of the attributes of a tag.
func (s *scanner) newRaw(text string) int32 {
	id := int32(len(s.rawNames))
	r := rawName{text: text, local: text}
	if prefix, local, ok := strings.Cut(text, ":"); ok {
		r.prefix, r.local = prefix, local
		r.bad = !isNCName(prefix)
	}
	r.bad = r.bad || !isNCName(r.local)
	s.rawNames = append(s.rawNames, r)
	s.raws[text] = id
	return id
}

// nameID interns an expanded name, that stands at an offset. A text that would
// fill the memory with names is stopped.
func (s *scanner) nameID(n Name, at int) int32 {
	if id, ok := s.ids[n]; ok {
		return id
	}
	id := int32(len(s.doc.names))
	if id == int32(s.lim.MaxNames) && !s.dead {
		s.stop(FaultTooMany, at, at, "distinct names", strconv.Itoa(s.lim.MaxNames))
	}
	s.doc.names = append(s.doc.names, n)
	s.seen = append(s.seen, 0)
	s.ids[n] = id
	return id
}

// expand finds the name that a name as written means under the bindings in
// force. What is wrong with it is reported each time, but for a prefix that
// nothing declares, which is reported where it is met first.
func (s *scanner) expand(raw int32, at int, isAttr bool) int32 {
	r := &s.rawNames[raw]
	known := &r.elem
	if isAttr {
		known = &r.attr
	}
	if known.scope == s.scope {
		return known.name
	}
	space, bound := s.lookup(r.prefix)
	switch {
	case !bound:
		space = unboundSpace + r.prefix
	case isAttr && r.text == "xmlns":
		space = namespaceXMLNS
	case isAttr && r.prefix == "":
		space = ""
	}
	name := s.nameID(Name{space, r.local}, at)
	switch {
	case r.bad:
		s.fault(FaultName, at, at+len(r.text), clip(r.text), "a letter or _ first, then letters, digits, - . _")
	case !isAttr && r.prefix == "xmlns":
		s.fault(FaultNamespace, at, at+len(r.prefix), "an element with the prefix xmlns", "")
	case bound:
		*known = expansion{s.scope, name}
	case !s.missing[r.prefix]:
		s.missing[r.prefix] = true
		s.fault(FaultUnboundPrefix, at, at+len(r.prefix), clip(r.prefix), "")
	}
	return name
}

func (s *scanner) lookup(prefix string) (string, bool) {
	if i, ok := s.bound[prefix]; ok && i >= 0 {
		return s.bindings[i].space, true
	}
	switch prefix {
	case "":
		return "", true
	case "xml":
		return NamespaceXML, true
	case "xmlns":
		return namespaceXMLNS, true
	}
	return "", false
}

// bind takes a namespace declaration of the element being opened.
//
// Source: W3C Namespaces in XML 1.0, Third Edition, section 3.
func (s *scanner) bind(r *rawName, a attr) {
	prefix := ""
	if r.prefix != "" {
		prefix = r.local
	}
	space := a.text(s.text)
	bad := ""
	switch {
	case prefix == "xmlns":
		bad = "the prefix xmlns"
	case prefix == "xml" && space != NamespaceXML:
		bad = "the prefix xml"
	case prefix != "xml" && space == NamespaceXML, space == namespaceXMLNS:
		bad = "a reserved namespace"
	case prefix != "" && space == "":
		bad = "an empty namespace for a prefix"
		space = unboundSpace + prefix
	}
	if bad != "" {
		s.fault(FaultNamespace, int(a.value), int(a.end), bad, "")
	}
	if prefix == "xml" || prefix == "xmlns" {
		return
	}
	outer, ok := s.bound[prefix]
	if !ok {
		outer = -1
	}
	s.bound[prefix] = int32(len(s.bindings))
	s.bindings = append(s.bindings, binding{prefix, space, outer})
}

// unbind takes back all bindings but the first n.
func (s *scanner) unbind(n int) {
	for i := len(s.bindings) - 1; i >= n; i-- {
		s.bound[s.bindings[i].prefix] = s.bindings[i].outer
	}
	s.bindings = s.bindings[:n]
}
