package rules_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
)

// A finding on one process of a list points at its name, also where the name
// stands twice or the list is broken over lines, and at the whole list where a
// reference hides the name.
func TestProcessPlace(t *testing.T) {
	const set = `<ResourceSet Name="CuttingParams" Usage="Input" CombinedProcessIndex="0"><Resource/></ResourceSet>`
	for types, want := range map[string][]string{
		"Cutting Folding":            {"Folding"},
		"Cutting\n\t Cutting":        {"Cutting"},
		"Cutting Folding Stitching ": {"Folding", "Stitching"},
		"Cutting Fold&#105;ng":       {"Cutting Fold&#105;ng"},
	} {
		var got []string
		text := `<XJDF xmlns="` + jdf.NamespaceXJDF + `" JobID="4711" Types="` + types + `">` + set + `</XJDF>`
		at := len(`<XJDF xmlns="`+jdf.NamespaceXJDF+`" JobID="4711" Types="`) + len("Cutting")
		for _, f := range check(t, "t.xjdf", text) {
			if f.Rule.ID == "process/params-missing" {
				got = append(got, f.Place.Source.Text[f.Place.Start:f.Place.End])
				require.Equal(t, "/XJDF/@Types", f.Place.Path())
				require.True(t, f.Place.Start > at || len(got[0]) == len(types), "the first process of %q has its parameters", types)
			}
		}
		require.Equal(t, want, got, types)
	}
}
