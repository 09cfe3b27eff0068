package convert

import (
	"fmt"
	"strings"
)

// Mapping writes the conversion table as a page in Markdown.
func Mapping() string {
	t := theTable()
	b := &strings.Builder{}
	b.WriteString("# How the generations map\n\n" +
		"Made from `table.txt`; a test fails when this page is older than the table, and `go test ./convert -update`\n" +
		"writes it anew. The 1.x generation stands on the left, the 2.x generation on the right. What is not listed\n" +
		"keeps its name where the other generation has the name in the same place, and is reported as lost elsewhere.\n\n" +
		"`↔` both ways, `→` from 1.x to 2.x only, `←` from 2.x to 1.x only. `^` is the Resource around the element,\n" +
		"`^^` its ResourceSet. `—` has no counterpart; `≡` needs none, since something else says the same.\n")
	for _, s := range t.sections {
		s.page(b)
	}
	b.WriteString("\n## Words that change\n")
	for _, name := range t.order {
		fmt.Fprintf(b, "\n### %s\n\n| 1.x | | 2.x |\n| --- | --- | --- |\n", name)
		for _, p := range t.values[name] {
			fmt.Fprintf(b, "| `%s` | %s | `%s` |\n", p.left, arrow(p.op), p.right)
		}
	}
	b.WriteString("\n## What a required attribute says where the source is silent\n\n" +
		"| attribute | generation | value |\n| --- | --- | --- |\n")
	for i, needs := range t.needs {
		for _, at := range sorted(needs) {
			fmt.Fprintf(b, "| `%s` | %d.x | `%s` |\n", at, i+1, needs[at])
		}
	}
	b.WriteString("\n## What versions of the 1.x generation name differently\n\n" +
		"| older | newer |\n| --- | --- |\n")
	for _, m := range t.moves {
		fmt.Fprintf(b, "| `%s/@%s` | `%s/@%s` |\n", m.element, m.old, m.element, m.new)
	}
	return b.String()
}

func (s *section) page(b *strings.Builder) {
	fmt.Fprintf(b, "\n## %s %s %s\n\n", s.left, arrow(s.op), sign(s.right))
	if s.note != "" {
		fmt.Fprintf(b, "%s\n\n", s.note)
	}
	if len(s.rows) == 0 {
		return
	}
	b.WriteString("| 1.x | | 2.x | words | note |\n| --- | --- | --- | --- | --- |\n")
	for _, r := range s.rows {
		fmt.Fprintf(b, "| %s | %s | %s | %s | %s |\n", code(r.left), arrow(r.op), code(r.right), r.values, r.note)
	}
}

func arrow(op byte) string { return map[byte]string{'=': "↔", '>': "→", '<': "←"}[op] }

func sign(s string) string {
	switch s {
	case "-":
		return "—"
	case ".":
		return "≡"
	}
	return s
}

func code(p path) string {
	if p.none {
		return sign(p.String())
	}
	return "`" + p.String() + "`"
}
