package rules_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/rules"
)

// golden is a finding as the golden files have it.
func golden(f validate.Finding) string {
	pos := f.Place.Pos()
	return fmt.Sprintf("%s %d:%d %s", f.Rule.ID, pos.Line, pos.Column, f.Place.Path())
}

// TestCases runs the tickets of testdata/group/slug: those called bad break the
// rule, those called good come near and keep it. What the stage finds in them
// is pinned in want.txt, by rule, place and path.
func TestCases(t *testing.T) {
	known := map[string]bool{}
	for _, r := range rules.Rules() {
		known[r.ID] = true
		t.Run(r.ID, func(t *testing.T) { testCase(t, r.ID) })
	}
	folders, err := filepath.Glob("testdata/*/*")
	require.NoError(t, err)
	for _, folder := range folders {
		id, err := filepath.Rel("testdata", folder)
		require.NoError(t, err)
		require.True(t, known[filepath.ToSlash(id)], "%s is for no rule", folder)
	}
}

// caseFindings is what the rule finds in the ticket as a whole, and what all
// others find in it as the fragment that it is.
func caseFindings(t *testing.T, doc *jdf.Document, id string) []validate.Finding {
	own := func(f validate.Finding) bool { return f.Rule.ID == id }
	whole := slices.DeleteFunc(checkDocument(t, doc), func(f validate.Finding) bool { return !own(f) })
	others := slices.DeleteFunc(checkDocument(t, doc, rules.Options{Fragment: true}), own)
	all := append(whole, others...)
	slices.SortStableFunc(all, validate.Finding.Compare)
	return all
}

func testCase(t *testing.T, id string) {
	dir := filepath.Join("testdata", filepath.FromSlash(id))
	var out strings.Builder
	for _, sort := range []string{"bad", "good"} {
		files, err := filepath.Glob(filepath.Join(dir, sort+"*.*"))
		require.NoError(t, err)
		require.NotEmpty(t, files, "%s has no %s case", id, sort)
		slices.Sort(files)
		for _, file := range files {
			doc, faults, err := jdf.ReadFile(file, jdf.Limits{})
			require.NoError(t, err)
			require.Empty(t, faults, file)
			findings := caseFindings(t, doc, id)
			require.Equal(t, sort == "bad", has(findings, id), file)
			fmt.Fprintf(&out, "# %s\n", filepath.Base(file))
			for _, f := range findings {
				fmt.Fprintln(&out, golden(f))
			}
		}
	}
	path := filepath.Join(dir, "want.txt")
	if rewriting(t) {
		require.NoError(t, os.WriteFile(path, []byte(out.String()), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, string(want), out.String())
}
