package main

import (
	"fmt"
	"strings"
)

// table is what is known of the differences, as splits.md has it: the reasons,
// and the samples they hold for.
func (found *outcome) table() string {
	var out strings.Builder
	out.WriteString("# Where the structure stage and libxml2 differ, and why\n\n" +
		"Written by the test of this folder; `go test ./validate/structure/agree -update` writes it anew.\n" +
		"Each reason has a ticket in testdata, on which the test sees that it holds.\n\n" +
		"| reason | who finds a fault | why | example |\n| --- | --- | --- | --- |\n")
	for _, r := range reasons {
		who := "libxml2"
		switch {
		case r.both:
			who = "either"
		case r.ours:
			who = "the stage"
		}
		fmt.Fprintf(&out, "| %s | %s | %s | [testdata/%s](testdata/%s) |\n", r.id, who, r.why, r.example, r.example)
	}
	out.WriteString("\n## Samples of the published release\n\n" +
		"All others have the same verdict.\n\n| sample | who finds a fault | reason |\n| --- | --- | --- |\n")
	for _, s := range found.splits {
		if s.what != "" {
			continue
		}
		who := "libxml2"
		if s.theirs.valid {
			who = "the stage"
		}
		fmt.Fprintf(&out, "| %s | %s | %s |\n", s.name, who, s.reason)
	}
	return out.String()
}
