package jdf

import "strings"

// characters takes the text up to the next markup.
func (s *scanner) characters() {
	start := s.pos
	first := spaceEnd(s.text, start)
	if first == len(s.text) || s.text[first] == '<' {
		s.pos = first
		return
	}
	length := strings.IndexByte(s.text[first:], '<')
	if length < 0 {
		length = len(s.text) - first
	}
	s.pos = first + length
	if len(s.open) == 1 {
		s.outside(first, s.pos)
		return
	}
	chunk := s.text[start:s.pos]
	if strings.IndexByte(chunk, '&') >= 0 {
		s.references(start, s.pos)
	}
	if i := strings.Index(chunk, "]]>"); i >= 0 {
		s.fault(FaultSyntax, start+i, start+i+3, "]]>", "]]&gt; in text")
	}
	s.link(node{name: -1, kind: KindText, start: uint32(start), inner: uint32(start), end: uint32(s.pos)})
}

func (s *scanner) outside(start, end int) {
	want := "white space before the root"
	if s.rootSeen {
		want = "white space after the root"
	}
	s.stop(FaultOutside, start, end, strings.TrimRight(clip(s.text[start:end]), " \t\r\n"), want)
}

// upTo finds the end mark of a comment, CDATA section or instruction.
func (s *scanner) upTo(start int, mark, what string) (end int, ok bool) {
	i := strings.Index(s.text[start:], mark)
	if i < 0 {
		s.truncated(s.pos, what, mark)
		return 0, false
	}
	return start + i, true
}

func (s *scanner) comment() {
	inner := s.pos + len("<!--")
	end, ok := s.upTo(inner, "-->", "a comment")
	if !ok {
		return
	}
	body := s.text[inner:end]
	if i := strings.Index(body, "--"); i >= 0 {
		s.fault(FaultSyntax, inner+i, inner+i+2, "--", "no -- inside a comment")
	} else if strings.HasSuffix(body, "-") {
		s.fault(FaultSyntax, end-1, end+3, "--->", "-->")
	}
	s.piece(KindComment, -1, inner, end)
}

func (s *scanner) cdata() {
	if len(s.open) == 1 {
		s.outside(s.pos, s.pos+len("<![CDATA["))
		return
	}
	inner := s.pos + len("<![CDATA[")
	if end, ok := s.upTo(inner, "]]>", "a CDATA section"); ok {
		s.piece(KindCDATA, -1, inner, end)
	}
}

func (s *scanner) instruction() {
	start := s.pos + len("<?")
	end, ok := s.upTo(start, "?>", "a processing instruction")
	if !ok {
		return
	}
	stop := min(nameEnd(s.text, start), end)
	target := s.text[start:stop]
	inner := spaceEnd(s.text[:end], stop)
	switch {
	case strings.EqualFold(target, "xml"):
		s.fault(FaultDeclaration, s.pos, end+2, "<?"+target, "the XML declaration once, at the very start")
	case !isNCName(target) || inner == stop && stop != end:
		s.fault(FaultName, start, stop, clip(target), "a name as target")
	}
	s.piece(KindInstruction, s.nameID(Name{"", target}, start), inner, end)
}

// piece links content that stands between marks, and moves past it.
func (s *scanner) piece(kind NodeKind, name int32, inner, end int) {
	end += closingMark(kind)
	s.link(node{name: name, kind: kind, start: uint32(s.pos), inner: uint32(inner), end: uint32(end)})
	s.pos = end
}

// closingMark is the length of the mark that ends a kind of content.
func closingMark(kind NodeKind) int {
	switch kind {
	case KindComment, KindCDATA:
		return len("-->")
	case KindInstruction:
		return len("?>")
	}
	return 0
}
