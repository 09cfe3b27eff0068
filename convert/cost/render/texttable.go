package render

import (
	"bufio"
	"strings"
)

// mostColumns is how wide text is written.
const mostColumns = 100

// table is rows of cells under a row of headings. The first left columns are words;
// the others are figures and stand at the right. Columns that have nothing but a
// heading are left out.
type table struct {
	left int
	rows [][]string
}

func (t *table) row(cells ...string) { t.rows = append(t.rows, cells) }

// write writes the table. The first column gives way where it would be too wide.
func (t *table) write(out *bufio.Writer) {
	if len(t.rows) < 2 {
		return
	}
	widths, used := make([]int, len(t.rows[0])), make([]bool, len(t.rows[0]))
	for n, row := range t.rows {
		for i, cell := range row {
			used[i] = used[i] || n > 0 && cell != ""
			widths[i] = max(widths[i], cells(cell))
		}
	}
	t.narrow(widths, used)
	for _, row := range t.rows {
		var line strings.Builder
		for i, cell := range row {
			if !used[i] {
				continue
			}
			cell = clip(cell, widths[i])
			pad := strings.Repeat(" ", widths[i]-cells(cell))
			if i < t.left {
				line.WriteString("  " + cell + pad)
			} else {
				line.WriteString("  " + pad + cell)
			}
		}
		out.WriteString(strings.TrimRight(line.String(), " ") + "\n")
	}
}

// narrow takes from the widest column of words until the table fits, and leaves
// figures whole.
func (t *table) narrow(widths []int, used []bool) {
	const least = 8
	over := -mostColumns
	for i, w := range widths {
		if used[i] {
			over += w + 2
		}
	}
	for ; over > 0; over-- {
		widest := 0
		for i := range widths[:t.left] {
			if used[i] && widths[i] > widths[widest] {
				widest = i
			}
		}
		if widths[widest] <= least {
			return
		}
		widths[widest]--
	}
}

// paragraph breaks a text at blanks into lines of mostColumns. The first begins with
// mark, the others with as many blanks.
func paragraph(out *bufio.Writer, mark, text string) {
	indent := strings.Repeat(" ", cells(mark))
	line, used := mark, cells(mark)
	for n, word := range strings.Fields(text) {
		for cells(word) > mostColumns-cells(mark) { // no blank in it
			head := strings.TrimSuffix(clip(word, mostColumns-cells(mark)), "…")
			if used > cells(mark) {
				out.WriteString(line + "\n")
			}
			out.WriteString(indent + head + "\n")
			line, used, word = indent, cells(indent), word[len(head):]
		}
		switch {
		case n == 0 || used == cells(mark):
			line, used = line+word, used+cells(word)
		case used+1+cells(word) > mostColumns:
			out.WriteString(line + "\n")
			line, used = indent+word, cells(mark)+cells(word)
		default:
			line, used = line+" "+word, used+1+cells(word)
		}
	}
	out.WriteString(line + "\n")
}
