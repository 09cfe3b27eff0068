package jdf

import (
	"sort"
	"strings"
	"sync"
	"unicode/utf8"
)

// Pos is a position in a source text. Line and Column are 1-based; Column
// counts Unicode code points, so that a tab and an umlaut are one column each.
// Offset counts bytes of the text as UTF-8, from 0.
type Pos struct {
	Offset, Line, Column int
}

// blockSize is the distance in bytes between two entries of a Source's count
// of code points. It bounds the work of Pos on a ticket written as one line.
const blockSize = 1024

// Source is a named text, held as UTF-8 whatever it was encoded in. It is
// immutable and safe for concurrent use.
type Source struct {
	Name string // the file name as the user gave it
	Text string // without byte order mark

	doc  *Document // read from the text; nil for what is no ticket
	only *Pos      // the one position that is known, where the text is not at hand

	index sync.Once
	lines []int // byte offset of the start of each line
	runes []int // runes[i] is the number of code points before byte i*blockSize
}

// NewSource names a text.
func NewSource(name, text string) *Source {
	return &Source{Name: name, Text: text}
}

// build makes the index. It is made on the first question, since a ticket
// without findings never asks.
func (s *Source) build() {
	s.lines = append(s.lines, 0)
	count := 0
	for i := 0; i < len(s.Text); i++ {
		if i%blockSize == 0 {
			s.runes = append(s.runes, count)
		}
		c := s.Text[i]
		if utf8.RuneStart(c) {
			count++
		}
		if c == '\n' || c == '\r' && (i+1 == len(s.Text) || s.Text[i+1] != '\n') {
			s.lines = append(s.lines, i+1)
		}
	}
	s.runes = append(s.runes, count)
}

// Pos tells the line and column of a byte offset. Offsets outside the text are
// moved to its nearest end.
func (s *Source) Pos(offset int) Pos {
	if s.only != nil {
		return *s.only
	}
	s.index.Do(s.build)
	offset = min(max(offset, 0), len(s.Text))
	line := sort.SearchInts(s.lines, offset+1)
	return Pos{
		Offset: offset,
		Line:   line,
		Column: s.runesBefore(offset) - s.runesBefore(s.lines[line-1]) + 1,
	}
}

func (s *Source) runesBefore(offset int) int {
	block := offset / blockSize
	if block >= len(s.runes) {
		block = len(s.runes) - 1
	}
	count := s.runes[block]
	for i := block * blockSize; i < offset; i++ {
		if utf8.RuneStart(s.Text[i]) {
			count++
		}
	}
	return count
}

// Line returns the text of a 1-based line without its line end, or "" when
// there is no such line.
func (s *Source) Line(n int) string {
	s.index.Do(s.build)
	if n < 1 || n > len(s.lines) {
		return ""
	}
	end := len(s.Text)
	if n < len(s.lines) {
		end = s.lines[n]
	}
	return strings.TrimRight(s.Text[s.lines[n-1]:end], "\r\n")
}
