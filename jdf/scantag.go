package jdf

import (
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

func (s *scanner) startTag() {
	start := s.pos
	stop := nameEnd(s.text, start+1)
	switch {
	case stop == start+1:
		s.stop(FaultSyntax, start, start+1, "<", "&lt; in text, or the name of an element right after <")
		return
	case len(s.open) == 1 && s.rootSeen:
		s.stop(FaultSecondRoot, start+1, stop, clip(s.text[start+1:stop]), "")
		return
	case len(s.open) > s.lim.MaxDepth:
		s.stop(FaultTooDeep, start+1, stop, "", strconv.Itoa(s.lim.MaxDepth))
		return
	}
	s.rootSeen = true
	raw := s.raw(s.text[start+1 : stop])
	firstAttr := len(s.doc.attrs)
	s.pos = stop
	empty, ok := s.attributes(start)
	if !ok {
		s.doc.attrs = s.doc.attrs[:firstAttr]
		return
	}
	if n := len(s.doc.attrs) - firstAttr; n > math.MaxUint16 {
		s.doc.attrs = s.doc.attrs[:firstAttr]
		s.stop(FaultTooMany, start, s.pos, "attributes", strconv.Itoa(math.MaxUint16))
		return
	}
	id := s.openTag(raw, start, firstAttr)
	if empty {
		s.closeTag(id)
	}
}

// attributes reads up to and with the '>' of a start tag; names are left as
// written, for the declarations among them decide what they mean.
func (s *scanner) attributes(tag int) (empty, ok bool) {
	for {
		before := s.pos
		s.pos = spaceEnd(s.text, before)
		if s.pos == len(s.text) {
			s.truncated(tag, "a start tag", ">")
			return false, false
		}
		switch s.text[s.pos] {
		case '>':
			s.pos++
			return false, true
		case '/':
			return true, s.slash(tag)
		}
		start := s.pos
		if !s.attribute(tag) {
			return false, false
		}
		if start == before {
			s.fault(FaultSyntax, start, start+1, "no white space", "a space before the attribute")
		}
	}
}

// slash takes the end of a tag without content.
func (s *scanner) slash(tag int) bool {
	switch {
	case strings.HasPrefix(s.text[s.pos:], "/>"):
		s.pos += 2
		return true
	case s.pos+1 == len(s.text):
		s.truncated(tag, "a start tag", ">")
	default:
		s.stop(FaultSyntax, s.pos, s.pos+1, "/", "/>")
	}
	return false
}

func (s *scanner) attribute(tag int) bool {
	start := s.pos
	stop := nameEnd(s.text, start)
	equals := spaceEnd(s.text, stop)
	switch {
	case stop == start: // the byte that can not be in a name is ASCII
		s.stop(FaultSyntax, start, start+1, s.text[start:start+1], `an attribute as in Name="value"`)
		return false
	case equals == len(s.text):
		s.truncated(tag, "a start tag", ">")
		return false
	case s.text[equals] != '=':
		s.stop(FaultSyntax, start, stop, clip(s.text[start:stop]), `an attribute as in Name="value"`)
		return false
	}
	quote := spaceEnd(s.text, equals+1)
	switch {
	case quote == len(s.text):
		s.truncated(tag, "a start tag", ">")
		return false
	case s.text[quote] != '"' && s.text[quote] != '\'':
		s.unquoted(start, stop, quote)
		return false
	}
	name := s.raw(s.text[start:stop])
	end, mark, ok := s.value(quote)
	if !ok {
		s.truncated(quote, "the value of "+clip(s.text[start:stop]), s.text[quote:quote+1])
		return false
	}
	s.pos = end + 1
	s.doc.attrs = append(s.doc.attrs, attr{
		name: name, begin: uint32(start) | mark, value: uint32(quote + 1), end: uint32(end),
	})
	return true
}

// value finds the closing quote, and looks for what may not stand before it.
// The mark is coded where the value is not what is written.
func (s *scanner) value(quote int) (end int, mark uint32, ok bool) {
	less, amp := -1, false
	for i := quote + 1; i < len(s.text); i++ {
		c := s.text[i]
		if class[c]&classValue == 0 {
			continue
		}
		switch c {
		case s.text[quote]:
			if less >= 0 {
				s.fault(FaultSyntax, less, less+1, "<", "&lt; in an attribute value")
			}
			if amp {
				s.references(quote+1, i)
			}
			return i, mark, true
		case '<':
			less = firstOf(less, i)
		case '&':
			amp, mark = true, coded
		case '\t', '\n', '\r':
			mark = coded
		}
	}
	return 0, 0, false
}

// openTag links the element, takes its declarations and expands its names.
func (s *scanner) openTag(raw int32, start, firstAttr int) int32 {
	attrs := s.doc.attrs[firstAttr:]
	id := s.link(node{
		kind: KindElement, start: uint32(start), inner: uint32(s.pos), end: uint32(s.pos),
		attr: uint32(firstAttr), attrs: uint16(len(attrs)),
	})
	outer := openElement{node: id, raw: raw, bindings: len(s.bindings), scope: s.scope}
	s.open = append(s.open, outer)
	for _, a := range attrs {
		if r := &s.rawNames[a.name]; r.declares() {
			s.bind(r, a)
		}
	}
	if len(s.bindings) != outer.bindings {
		s.scopes++
		s.scope = s.scopes
	}
	s.doc.nodes[id].name = s.expand(raw, start+1, false)
	for i := range attrs {
		a := &attrs[i]
		a.name = s.expand(a.name, a.start(), true)
		if s.seen[a.name] == id && !s.dead {
			s.duplicate(id, firstAttr, i)
		}
		s.seen[a.name] = id
	}
	return id
}

func (s *scanner) duplicate(id int32, firstAttr, i int) {
	a := Attr{Node{s.doc, id}, uint32(firstAttr + i)}
	place := a.NamePlace()
	f := s.fault(FaultDuplicateAttribute, place.Start, place.End, clip(a.Local()), "")
	f.Place = place
	for _, b := range s.doc.attrs[firstAttr : firstAttr+i] {
		if b.name == s.doc.attrs[a.id].name {
			f.Related = Attr{a.owner, uint32(firstAttr)}.place(b.start(), nameEnd(s.text, b.start()))
			return
		}
	}
}

func (s *scanner) closeTag(id int32) {
	top := s.top()
	s.doc.nodes[id].end = uint32(s.pos)
	if len(s.bindings) != top.bindings {
		s.unbind(top.bindings)
	}
	s.scope = top.scope
	s.open = s.open[:len(s.open)-1]
}

func (s *scanner) endTag() {
	start := s.pos
	stop := nameEnd(s.text, start+2)
	end := spaceEnd(s.text, stop)
	name := s.text[start+2 : stop]
	top := s.top()
	want := ""
	if len(s.open) > 1 {
		want = s.rawNames[top.raw].text
	}
	switch {
	case end == len(s.text):
		s.truncated(start, "an end tag", ">")
	case len(s.open) == 1:
		s.stop(FaultTag, start, stop, "</"+clip(name)+">", "no end tag, for nothing is open")
	case name != want:
		f := s.stop(FaultTag, start, stop, "</"+clip(name)+">", "</"+clip(want)+">")
		f.Related = Node{s.doc, top.node}.NamePlace()
	case s.text[end] != '>':
		_, size := utf8.DecodeRuneInString(s.text[end:])
		s.stop(FaultSyntax, end, end+size, s.text[end:end+size], "> at the end of the end tag")
	default:
		s.pos = end + 1
		s.closeTag(top.node)
	}
}
