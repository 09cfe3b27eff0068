package render

import (
	"strings"
	"unicode/utf8"

	"quoin/jdf"
)

// excerpt is a source line, or a window of it, around a place. The texts are
// as in the source.
type excerpt struct {
	line                   int // from 1
	before, stretch, after string
	cutLeft, cutRight      bool
}

// lineEnds are the characters that end a line of a jdf.Source.
const lineEnds = "\r\n"

// leastColumns is the narrowest window that still shows something.
const leastColumns = 16

// excerptOf cuts a window out of the line in which a place begins. It looks at
// no more of the line than it shows, so that thousands of findings in a ticket
// written as one line stay cheap. There is no excerpt of an empty source.
func excerptOf(p jdf.Place, columns int) (excerpt, bool) {
	if !p.Known() || p.Source.Text == "" {
		return excerpt{}, false
	}
	columns = max(columns, leastColumns) - 2 // an ellipsis at either end
	text := p.Source.Text
	start := min(max(p.Start, 0), len(text))
	for start > 0 && start < len(text) && !utf8.RuneStart(text[start]) {
		start--
	}
	if strings.HasSuffix(text[:start], "\r") && strings.HasPrefix(text[start:], "\n") {
		start-- // the end of the line is in front of both
	}
	end := min(max(p.End, start), len(text))
	e := excerpt{line: p.Pos().Line, stretch: head(text[start:end], columns*2/3)}
	seen := start + len(e.stretch)
	room := max(0, columns-max(1, cells(e.stretch)))
	if seen == end {
		e.after = head(text[seen:], room)
	}
	e.before = tail(text[:start], room-min(cells(e.after), room/3))
	e.after = head(e.after, max(0, room-cells(e.before)))
	seen += len(e.after)
	e.cutLeft = start > len(e.before) && !strings.ContainsRune(lineEnds, rune(text[start-len(e.before)-1]))
	e.cutRight = seen < len(text) && !strings.ContainsRune(lineEnds, rune(text[seen]))
	return e, true
}

// marksPerCell bounds how many characters are taken for one column, since any
// number of combining marks takes no width.
const marksPerCell = 8

// head keeps the start of s, within its line, that fits into a number of columns.
func head(s string, columns int) string {
	used, count := 0, 0
	for i, r := range s {
		used += runeCells(r)
		count++
		if used > columns || count > columns*marksPerCell || r == '\r' || r == '\n' {
			return s[:i]
		}
	}
	return s
}

// tail keeps the end of s, within its line, that fits into a number of columns.
// It never begins with a mark that belongs to the character before.
func tail(s string, columns int) string {
	used, count, i := 0, 0, len(s)
	for i > 0 {
		r, size := utf8.DecodeLastRuneInString(s[:i])
		used += runeCells(r)
		count++
		if used > columns || count > columns*marksPerCell || r == '\r' || r == '\n' {
			break
		}
		i -= size
	}
	if i == 0 || strings.ContainsRune(lineEnds, rune(s[i-1])) {
		return s[i:]
	}
	return strings.TrimLeftFunc(s[i:], func(r rune) bool { return runeCells(r) == 0 })
}
