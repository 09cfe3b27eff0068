package rules

import (
	"bufio"
	"fmt"
	"io"
	"iter"
	"slices"
	"strings"

	"quoin/jdf"
)

// topic is the rules of one file.
type topic struct {
	title  string
	checks []check
}

// topics lists every rule of the package, a file after the other.
func topics() []topic {
	return []topic{
		{"Identity", identityChecks}, {"References", referenceChecks}, {"Resource sets", setChecks},
		{"Versions", versionChecks},
		{"Nodes and their types", nodeChecks}, {"Processes and what they need", linkageChecks},
		{"The network of processes", networkChecks}, {"Combined processes", combinedChecks},
		{"Partitions of JDF resources", partitionChecks}, {"Parts", partChecks}, {"Parts of sets", setPartChecks},
		{"Amounts", amountChecks}, {"Amounts along the way", flowChecks},
		{"Boxes and sheets", geometryChecks}, {"Media", mediaChecks},
		{"Cutting", cuttingChecks}, {"Folding", foldingChecks}, {"Binding", bindingChecks},
		{"Colours", colourChecks}, {"Separations and plates", separationChecks},
		{"Times", timeChecks}, {"Schedule", scheduleChecks},
		{"Products and intents", productChecks}, {"Intents together", intentChecks},
		{"Audits", auditChecks}, {"Phases and runs", phaseChecks}, {"What audits count", countingChecks},
		{"Messages", messageChecks}, {"The queue", queueChecks},
	}
}

func checks() iter.Seq[*check] {
	return func(yield func(*check) bool) {
		for _, t := range topics() {
			for i := range t.checks {
				if !yield(&t.checks[i]) {
					return
				}
			}
		}
	}
}

// Example returns a small document that breaks the rule and one that keeps it,
// both without their namespace. They are "" when the package has no such rule.
func Example(id string) (bad, good string) {
	for c := range checks() {
		if c.ID == id {
			return c.Bad, c.Good
		}
	}
	return "", ""
}

// Catalogue writes the page of all rules, in Markdown. The error is that of
// the writer.
func Catalogue(w io.Writer) error {
	out := bufio.NewWriter(w)
	fmt.Fprint(out, "# Rules of tickets and messages\n\n"+
		"What no schema can say. This page is made from the tables of the package; the\n"+
		"examples leave the namespace out.\n")
	for _, t := range topics() {
		fmt.Fprintf(out, "\n## %s\n", t.title)
		for _, c := range t.checks {
			c.describe(out)
		}
	}
	if err := out.Flush(); err != nil {
		return fmt.Errorf("write the catalogue of rules: %w", err)
	}
	return nil
}

func (c check) describe(out io.Writer) {
	fmt.Fprintf(out, "\n### %s\n\n", c.ID)
	fmt.Fprintf(out, "%s for %s%s; the %s mends it", c.Severity, kindNames(c.kinds), c.span(), c.Mends)
	switch c.fragment {
	case asNote:
		fmt.Fprint(out, "; a note in fragments")
	case leftOut:
		fmt.Fprint(out, "; not asked of fragments")
	}
	fmt.Fprintf(out, ".\n\n- says: %s\n", c.Say)
	if c.Do != "" {
		fmt.Fprintf(out, "- to do: %s\n", c.Do)
	}
	fmt.Fprintf(out, "\n%s\n\nBreaks it:\n\n```xml\n%s\n```\n\nKeeps it:\n\n```xml\n%s\n```\n", c.Why, c.Bad, c.Good)
}

func kindNames(kinds []jdf.Kind) string {
	names := make([]string, len(kinds))
	for i, k := range kinds {
		names[i] = k.String()
	}
	return strings.Join(slices.Compact(names), ", ")
}

func (c check) span() string {
	switch {
	case !c.from.IsZero() && !c.upto.IsZero():
		return fmt.Sprintf(" %s to %s", c.from, c.upto)
	case !c.from.IsZero():
		return fmt.Sprintf(" from %s", c.from)
	case !c.upto.IsZero():
		return fmt.Sprintf(" up to %s", c.upto)
	}
	return ""
}
