package jdf

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"sync"
	"unicode/utf8"
)

// scanner reads XML 1.0 (Fifth Edition) with namespaces into a Document. It
// takes no document type declaration and knows no entity but XML's five.
type scanner struct {
	doc    *Document
	text   string
	pos    int
	lim    Limits
	faults []Fault
	spare  Fault // takes what is said after too many faults
	dead   bool  // a fault was met that cannot be passed

	rawNames []rawName              // stay from one document to the next, as do raws and recent
	raws     map[string]int32       // indices into rawNames
	recent   [1 << recentBits]int32 // the same, by a hash of the name
	ids      map[Name]int32         // indices into Document.names
	seen     []int32                // by name: the last element that had it as an attribute
	missing  map[string]bool        // prefixes reported as not declared

	open     []openElement // the first stands for the document
	bindings []binding
	bound    map[string]int32 // by prefix: index of the binding in force, or -1
	scope    int32            // number of the set of bindings in force
	scopes   int32            // the highest number given
	rootSeen bool
}

type openElement struct {
	node     int32
	last     int32 // last child linked
	raw      int32
	bindings int   // how many were in force outside
	scope    int32 // that was in force outside
}

// maxFaults is where a text stops being a ticket with faults and is something else.
const maxFaults = 1000

// usualNames is how many names a small ticket has.
const usualNames = 48

// keptNames is how many names a scanner may know and still be kept.
const keptNames = 1 << 10

// scanners are kept from one document to the next: tickets of one sender use
// the same names again and again.
var scanners = sync.Pool{New: func() any {
	return &scanner{
		raws: make(map[string]int32, usualNames), ids: make(map[Name]int32, usualNames),
		missing: make(map[string]bool), bound: make(map[string]int32),
	}
}}

// newScanner sizes the arena by what nearly every node and every attribute
// has one of.
func newScanner(doc *Document, lim Limits, faults []Fault) *scanner {
	text := doc.Source.Text
	const shortestAttr = len(` a=""`)
	tags := strings.Count(text, "<") - strings.Count(text, "</") // text makes nodes too, which are few
	doc.nodes = make([]node, 1, tags+tags/64+2)
	doc.names = make([]Name, 0, usualNames)
	doc.attrs = make([]attr, 0, min(strings.Count(text, "="), len(text)/shortestAttr))
	inHugePages(doc.nodes)
	inHugePages(doc.attrs)
	s := scanners.Get().(*scanner)
	s.doc, s.text, s.lim, s.faults = doc, text, lim, faults
	s.open = append(s.open, openElement{})
	s.scopes++ // what names were found to mean in another document is not good here
	s.scope = s.scopes
	return s
}

// release gives the scanner back, without anything that belongs to the document.
func (s *scanner) release() {
	if len(s.rawNames) > keptNames || s.scopes > math.MaxInt32/2 {
		return
	}
	clear(s.ids)
	clear(s.missing)
	clear(s.bound)
	clear(s.bindings[:cap(s.bindings)])
	*s = scanner{
		rawNames: s.rawNames, raws: s.raws, recent: s.recent, scopes: s.scopes,
		ids: s.ids, missing: s.missing, bound: s.bound,
		seen: s.seen[:0], open: s.open[:0], bindings: s.bindings[:0],
	}
	scanners.Put(s)
}

func (s *scanner) fault(code FaultCode, start, end int, got, want string) *Fault {
	if len(s.faults) >= maxFaults {
		if len(s.faults) == maxFaults {
			s.dead = true
			s.add(FaultTooMany, start, start, "faults", strconv.Itoa(maxFaults))
		}
		return &s.spare
	}
	return s.add(code, start, end, got, want)
}

func (s *scanner) add(code FaultCode, start, end int, got, want string) *Fault {
	place := PlaceAt(s.doc.Source, start, end, "")
	if len(s.open) > 1 {
		place.node = s.top().node
	}
	s.faults = append(s.faults, Fault{Code: code, Place: place, Got: got, Want: want})
	return &s.faults[len(s.faults)-1]
}

// stop reports a fault after which nothing can be trusted.
func (s *scanner) stop(code FaultCode, start, end int, got, want string) *Fault {
	f := s.fault(code, start, end, got, want)
	s.dead = true
	return f
}

func (s *scanner) scan() {
	if at := badChar(s.text); at >= 0 {
		r, size := utf8.DecodeRuneInString(s.text[at:])
		s.fault(FaultCharacter, at, at+size, fmt.Sprintf("%U", r), "")
	}
	if kind := otherKind(s.text); kind != "" {
		s.notXML(kind)
	}
	s.declaration()
	for s.pos < len(s.text) && !s.dead {
		s.characters()
		if s.pos < len(s.text) && !s.dead {
			s.markup()
		}
	}
	switch {
	case s.dead:
	case len(s.open) > 1:
		inner := Node{s.doc, s.top().node}
		f := s.stop(FaultTruncated, len(s.text), len(s.text), "the end of the file",
			"</"+clip(s.rawNames[s.top().raw].text)+">")
		f.Related = inner.NamePlace()
	case !s.rootSeen:
		s.stop(FaultNoRoot, len(s.text), len(s.text), "", "")
	}
	s.closeAll()
}

func (s *scanner) top() *openElement { return &s.open[len(s.open)-1] }

// closeAll ends the elements that a fault left open, so that the tree is whole.
func (s *scanner) closeAll() {
	for _, o := range s.open[1:] {
		s.doc.nodes[o.node].end = uint32(s.pos)
	}
	s.open = s.open[:1]
}

// link appends a node to the open element.
func (s *scanner) link(n node) int32 {
	id := int32(len(s.doc.nodes))
	top := s.top()
	n.parent = top.node
	s.doc.nodes = append(s.doc.nodes, n)
	if top.last == 0 {
		s.doc.nodes[top.node].first = id
	} else {
		s.doc.nodes[top.last].next = id
	}
	top.last = id
	return id
}

// markup takes what starts with '<'.
func (s *scanner) markup() {
	rest := s.text[s.pos:]
	if len(rest) == 1 {
		s.truncated(s.pos, "markup", "a name")
		return
	}
	switch rest[1] {
	case '/':
		s.endTag()
	case '?':
		s.instruction()
	case '!':
		s.declarations(rest)
	default:
		s.startTag()
	}
}

// declarations takes what starts with "<!".
func (s *scanner) declarations(rest string) {
	const comment, cdata, doctype = "<!--", "<![CDATA[", "<!DOCTYPE"
	switch {
	case strings.HasPrefix(rest, comment):
		s.comment()
	case strings.HasPrefix(rest, cdata):
		s.cdata()
	case strings.HasPrefix(rest, doctype):
		s.stop(FaultDTD, s.pos, s.pos+len(doctype), "", "")
	case strings.HasPrefix(comment, rest), strings.HasPrefix(cdata, rest), strings.HasPrefix(doctype, rest):
		s.truncated(s.pos, "markup", "a comment or CDATA")
	default:
		s.stop(FaultSyntax, s.pos, s.pos+2, "<!", "a comment or CDATA")
	}
}

// truncated reports the end of the file inside something that began at start.
func (s *scanner) truncated(start int, what, want string) {
	s.stop(FaultTruncated, start, len(s.text), what, want)
}

// clip shortens what a fault shows of the text.
func clip(text string) string {
	const most = 40
	if len(text) <= most {
		return text
	}
	end := 0
	for i := range text {
		if i > most {
			break
		}
		end = i
	}
	return text[:end] + "…"
}
