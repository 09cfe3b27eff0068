//go:build !checker

package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"quoin/validate"
	"quoin/validate/rules"
)

func newExplain(io streams) *cobra.Command {
	return &cobra.Command{
		Use:   "explain [RULE]",
		Short: "Say why a rule is there; without a rule, list them all",
		Args:  cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return listRules(io.out)
			}
			return explain(io.out, args[0])
		},
	}
}

func listRules(out io.Writer) error {
	for _, r := range allRules() {
		if _, err := fmt.Fprintf(out, "%-8s %-36s %s\n", r.Severity, r.ID, spoken(r.Say)); err != nil {
			return fmt.Errorf("write rules: %w", err)
		}
	}
	return nil
}

func explain(out io.Writer, id string) error {
	var ids []string
	for _, r := range allRules() {
		if r.ID == id {
			_, err := io.WriteString(out, explanation(r))
			return err
		}
		ids = append(ids, r.ID)
	}
	if near := validate.Nearest(id, ids); near != "" {
		return fmt.Errorf("there is no rule %q; did you mean %s?", id, near)
	}
	return fmt.Errorf("there is no rule %q; `quoin explain` lists them", id)
}

func explanation(r *validate.Rule) string {
	var text strings.Builder
	fmt.Fprintf(&text, "%s\n\n  %s, for the %s to mend\n\n  %s\n", r.ID, r.Severity, r.Mends, spoken(r.Say))
	if r.Do != "" {
		fmt.Fprintf(&text, "  do: %s\n", spoken(r.Do))
	}
	fmt.Fprintf(&text, "\n  %s\n", r.Why)
	bad, good := rules.Example(r.ID)
	for _, example := range []struct{ title, ticket string }{{"Breaks it", bad}, {"Keeps it", good}} {
		if example.ticket != "" {
			fmt.Fprintf(&text, "\n  %s:\n\n    %s\n", example.title, strings.ReplaceAll(strings.TrimSpace(example.ticket), "\n", "\n    "))
		}
	}
	return text.String()
}

// spoken shows the places that facts fill in a sentence of a rule, as in
// "the ID <id> is given twice".
func spoken(template string) string {
	return strings.NewReplacer("{", "<", "|q}", ">", "}", ">").Replace(template)
}
