package structure

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/validate"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// check reads a file, which must be well-formed, and gathers what is found.
func check(t testing.TB, path string) []validate.Finding {
	t.Helper()
	doc, faults, err := jdf.ReadFile(path, jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults, "faults of reading %s", path)
	report := validate.NewReport(0)
	Check(doc, Options{}, report.Add)
	report.Finish()
	return report.Findings
}

// line is a finding as the golden files have it.
func line(f validate.Finding) string {
	pos := f.Place.Pos()
	return fmt.Sprintf("%s %d:%d %s", f.Rule.ID, pos.Line, pos.Column, f.Place.Path())
}

// golden compares text with a file, or rewrites it.
func golden(t *testing.T, path, got string) {
	t.Helper()
	if *update {
		require.Empty(t, os.Getenv("CI"), "golden files are not rewritten in CI")
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, string(want), got, "run with -update when the change is meant")
}

// Each rule has a folder of its own with tickets that break it, named bad*, and
// good twins that break nothing at all. want.txt has the exact findings with
// their severities and words.
func TestRules(t *testing.T) {
	const root = "testdata/rules"
	folders, err := os.ReadDir(root)
	require.NoError(t, err)
	var slugs []string
	for _, f := range folders {
		slugs = append(slugs, f.Name())
	}
	var want []string
	for _, r := range Rules() {
		want = append(want, strings.TrimPrefix(r.ID, "schema/"))
	}
	slices.Sort(want)
	require.Equal(t, want, slugs, "folders of %s and rules", root)
	for _, slug := range slugs {
		t.Run(slug, func(t *testing.T) {
			id := "schema/" + slug
			bad, err := filepath.Glob(filepath.Join(root, slug, "bad*.*"))
			require.NoError(t, err)
			require.NotEmpty(t, bad, "no ticket breaks the rule")
			var out strings.Builder
			for _, path := range bad {
				findings := check(t, path)
				require.True(t, slices.ContainsFunc(findings, func(f validate.Finding) bool { return f.Rule.ID == id }),
					"%s does not break %s", path, id)
				for _, f := range findings {
					require.NotContains(t, f.Message()+f.Advice(), "{", "a fact is missing in %s", f.Rule.ID)
					fmt.Fprintf(&out, "%s: %s\n\t%s: %s\n", filepath.Base(path), line(f), f.Severity, f.Message())
				}
			}
			golden(t, filepath.Join(root, slug, "want.txt"), out.String())
			good, err := filepath.Glob(filepath.Join(root, slug, "good*.*"))
			require.NoError(t, err)
			require.NotEmpty(t, good, "no ticket keeps the rule")
			for _, path := range good {
				for _, f := range check(t, path) {
					t.Errorf("%s: %s: %s", path, line(f), f.Message())
				}
			}
		})
	}
}

func TestRuleTable(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range Rules() {
		require.False(t, seen[r.ID], "%s twice", r.ID)
		seen[r.ID] = true
		require.Equal(t, validate.GroupSchema, r.Group())
		require.NotEmpty(t, r.Say)
		require.NotEmpty(t, r.Do, r.ID)
		require.NotEmpty(t, r.Why, r.ID)
		require.NotRegexp(t, `\.$`, r.Say+r.Do, r.ID)
		require.NotZero(t, r.Severity)
	}
}
