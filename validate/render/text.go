package render

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"quoin/jdf"
	"quoin/validate"
)

// Style is how text is laid out.
type Style struct {
	Color bool // mark severities with terminal colours beside the words
	Width int  // columns of the terminal; 0 means 100
}

const defaultWidth = 100

// Text writes each finding with its source line and a mark below it, then one
// line of summary. The first line of a finding is never wrapped, so that
// editors and search tools can take it apart.
func Text(w io.Writer, r *validate.Report, style Style) error {
	if style.Width <= 0 {
		style.Width = defaultWidth
	}
	out := bufio.NewWriter(w)
	for _, f := range r.Findings {
		if f.Silenced != nil {
			silenced(out, f)
		} else {
			finding(out, f, style)
		}
	}
	Summary(out, r)
	if err := out.Flush(); err != nil {
		return fmt.Errorf("write report: %w", err)
	}
	return nil
}

func finding(out *bufio.Writer, f validate.Finding, style Style) {
	fmt.Fprintf(out, "%s: %s %s: %s\n", where(f.Place), paint(f.Severity.String(), f.Severity, style),
		f.Rule.ID, brief(f.Message()))
	mark(out, f, style)
	if path := f.Place.Path(); path != "" {
		fmt.Fprintf(out, "    in   %s\n", safe(path))
	}
	for _, rel := range f.Related {
		fmt.Fprintf(out, "    see  %s: %s\n", where(rel.Place), safe(rel.Say))
	}
	advice := fmt.Sprintf("for the %s to mend", f.Rule.Mends)
	if text := f.Advice(); text != "" {
		advice = fmt.Sprintf("%s (%s)", brief(text), f.Rule.Mends)
	}
	hang(out, "    do   ", advice, style.Width)
	out.WriteByte('\n')
}

// silenced writes a finding that does not count, with who said so.
func silenced(out *bufio.Writer, f validate.Finding) {
	fmt.Fprintf(out, "%s: silenced %s %s: %s\n", where(f.Place), f.Severity, f.Rule.ID, brief(f.Message()))
	fmt.Fprintf(out, "    by   %s: %s\n\n", where(f.Silenced.Place), safe(f.Silenced.Reason))
}

func where(p jdf.Place) string {
	if !p.Known() {
		return "-"
	}
	at := p.Pos()
	return fmt.Sprintf("%s:%d:%d", safe(p.File()), at.Line, at.Column)
}

// paint puts a text into the colour of a severity. The codes are of the eight
// basic colours, which terminals show readable on light and on dark.
func paint(text string, s validate.Severity, style Style) string {
	if !style.Color {
		return text
	}
	code := "1;36"
	switch s {
	case validate.Error:
		code = "1;31"
	case validate.Warning:
		code = "1;35"
	}
	return "\x1b[" + code + "m" + text + "\x1b[0m"
}

// mark shows the line of a place, or a window of it, with carets below the
// stretch.
func mark(out *bufio.Writer, f validate.Finding, style Style) {
	number := fmt.Sprintf("%4d", f.Place.Pos().Line)
	e, ok := excerptOf(f.Place, style.Width-len(number)-len(" | "))
	if !ok {
		return
	}
	left, right := e.ends()
	fmt.Fprintf(out, "%s | %s%s%s%s%s\n", number, left, show(e.before), show(e.stretch), show(e.after), right)
	fmt.Fprintf(out, "%s | %s%s\n", strings.Repeat(" ", len(number)),
		strings.Repeat(" ", cells(left)+cells(e.before)),
		paint(strings.Repeat("^", max(1, cells(e.stretch))), f.Severity, style))
}

// ends are the ellipses of a window that is cut.
func (e excerpt) ends() (left, right string) {
	if e.cutLeft {
		left = "…"
	}
	if e.cutRight {
		right = "…"
	}
	return left, right
}

// hang writes words behind a label, the further lines indented as far.
func hang(out *bufio.Writer, label, text string, columns int) {
	used := len(label)
	out.WriteString(label)
	for i, word := range strings.Fields(text) {
		switch need := cells(word); {
		case i == 0:
			used += need
		case used+1+need > columns:
			out.WriteString("\n" + strings.Repeat(" ", len(label)))
			used = len(label) + need
		default:
			out.WriteByte(' ')
			used += 1 + need
		}
		out.WriteString(word)
	}
	out.WriteByte('\n')
}

// Summary writes the line that closes a report.
func Summary(w io.Writer, r *validate.Report) {
	fmt.Fprintln(w, summary(r))
}

func summary(r *validate.Report) string {
	line := summaryCounts(r)
	if r.Left > 0 {
		line += fmt.Sprintf(" (%s not shown; see --max-findings)", plural(r.Left, "finding"))
	}
	return line
}

func summaryCounts(r *validate.Report) string {
	line := fmt.Sprintf("%s checked: %s, %s, %s", plural(r.Files, "file"),
		plural(r.Count(validate.Error), "error"), plural(r.Count(validate.Warning), "warning"),
		plural(r.Count(validate.Note), "note"))
	if r.Silenced > 0 {
		line += fmt.Sprintf(", %d silenced", r.Silenced)
	}
	return line
}

func plural(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}
