package profile_test

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
	"quoin/jdf/job"
	"quoin/testdata/standard"
	"quoin/validate"
	"quoin/validate/profile"
)

var update = flag.Bool("update", false, "rewrite the golden files")

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

func load(t testing.TB, name string) *profile.Profile {
	t.Helper()
	p, findings, err := profile.Load(name)
	require.NoError(t, err)
	for _, f := range findings {
		t.Errorf("%s: %s", line(f), f.Message())
	}
	return p
}

func check(t testing.TB, p *profile.Profile, path string) []validate.Finding {
	t.Helper()
	doc, faults, err := jdf.ReadFile(path, jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults, path)
	report := validate.NewReport(0)
	p.Check(doc, job.Decode(doc), report.Add)
	report.Finish()
	return report.Findings
}

func line(f validate.Finding) string {
	pos := f.Place.Pos()
	return fmt.Sprintf("%s %s %d:%d %s", f.Severity, f.Rule.ID, pos.Line, pos.Column, f.Place.Path())
}

func fact(f validate.Finding, name string) string {
	i := slices.IndexFunc(f.Facts, func(x validate.Fact) bool { return x.Name == name })
	if i < 0 {
		return ""
	}
	return f.Facts[i].Value
}

// Each published profile has tickets that keep all of it, named good*, and
// others, named bad*, that between them break each of its clauses but those
// which only say what a receiver takes.
//
// Source: the tables of the conformance specifications that the profiles name.
func TestPublished(t *testing.T) {
	names := profile.Names()
	require.GreaterOrEqual(t, len(names), 6)
	for _, name := range names {
		t.Run(name, func(t *testing.T) {
			p := load(t, name)
			require.Equal(t, name, p.Name)
			require.NotEmpty(t, p.Title)
			good, _ := filepath.Glob(filepath.Join("testdata", name, "good*"))
			require.NotEmpty(t, good)
			for _, path := range good {
				for _, f := range check(t, p, path) {
					t.Errorf("%s: %s: %s", path, line(f), f.Message())
				}
			}
			bad, _ := filepath.Glob(filepath.Join("testdata", name, "bad*"))
			require.NotEmpty(t, bad)
			broken := map[string]bool{}
			var out strings.Builder
			for _, path := range bad {
				findings := check(t, p, path)
				require.NotEmpty(t, findings, path)
				for _, f := range findings {
					broken[fact(f, "clause")] = true
					require.NotContains(t, f.Message()+f.Advice(), "{", f.Rule.ID)
					require.NotEmpty(t, f.Related)
					at := f.Related[0].Place
					require.True(t, strings.HasSuffix(at.File(), ".yaml"))
					message := f.Message()
					if len(message) > 300 {
						message = message[:300] + "..."
					}
					fmt.Fprintf(&out, "%s: %s\n\t%s\n\t%s:%d:%d\n",
						filepath.Base(path), line(f), message, at.File(), at.Pos().Line, at.Pos().Column)
				}
			}
			golden(t, filepath.Join("testdata", name, "want.txt"), out.String())
			for _, id := range p.Clauses() {
				require.True(t, broken[id], "no ticket breaks clause %s", id)
			}
		})
	}
}

// claimingSample is the only sample with ICSVersions. It claims the finishing
// specification, which is none of the published profiles.
const claimingSample = "xjdf/samples/further/book-ics.xjdf"

// The findings in that sample are pinned one by one: it is a gathering and
// stitching job, so that it lacks all that a printing job gives. Since it claims
// no level of printing, each is a warning.
//
// Source: the published sample.
func TestClaimingSample(t *testing.T) {
	path := filepath.Join(standard.Dir(t), filepath.FromSlash(claimingSample))
	var out strings.Builder
	for _, name := range profile.Names() {
		fmt.Fprintf(&out, "%s\n", name)
		for _, f := range check(t, load(t, name), path) {
			fmt.Fprintf(&out, "\t%s\n\t\t%s\n", line(f), f.Message())
		}
	}
	golden(t, filepath.Join("testdata", "claiming.txt"), out.String())
}

const samplesFile = "testdata/samples.txt"

// All published samples are held against the profiles of their kind. How often
// each clause is broken is pinned, with a verdict: the one sample that claims
// anything claims another specification, so that nothing weighs more than a
// warning.
//
// Source: the samples of the published release.
func TestSamples(t *testing.T) {
	dir := standard.Dir(t)
	verdicts := readVerdicts(t)
	counts := map[string]int{}
	checked, claiming := 0, []string{}
	var all []*profile.Profile
	for _, name := range profile.Names() {
		all = append(all, load(t, name))
	}
	for _, path := range standard.Samples(t) {
		doc, faults, err := jdf.ReadFile(path, jdf.Limits{})
		require.NoError(t, err)
		require.Empty(t, faults)
		if doc.Root().Get("ICSVersions") != "" {
			rel, err := filepath.Rel(dir, path)
			require.NoError(t, err)
			claiming = append(claiming, filepath.ToSlash(rel))
		}
		for _, p := range all {
			p.Check(doc, nil, func(f validate.Finding) {
				checked++
				require.LessOrEqual(t, f.Severity, validate.Warning, "%s: %s", path, f.Message())
				require.NotEqual(t, "house/profile-undecided", f.Rule.ID, f.Message())
				if f.Rule.ID != "schema/profile-scope" {
					counts[p.Name+" "+fact(f, "clause")]++
				}
			})
		}
	}
	require.Equal(t, []string{claimingSample}, claiming)
	require.Greater(t, checked, 5000)
	var keys []string
	for k := range counts {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	var out strings.Builder
	out.WriteString("# How often the published samples break each clause, and the verdict. " +
		"None claims a level of these profiles.\n")
	for _, k := range keys {
		require.True(t, *update || verdicts[k] != "", "no verdict on %s", k)
		fmt.Fprintf(&out, "%s: %d: %s\n", k, counts[k], verdicts[k])
	}
	golden(t, samplesFile, out.String())
}

func readVerdicts(t *testing.T) map[string]string {
	data, err := os.ReadFile(samplesFile)
	if os.IsNotExist(err) && *update {
		return nil
	}
	require.NoError(t, err)
	verdicts := map[string]string{}
	for l := range strings.Lines(string(data)) {
		if key, rest, ok := strings.Cut(strings.TrimSpace(l), ": "); ok && l[0] != '#' {
			_, verdicts[key], _ = strings.Cut(rest, ": ")
		}
	}
	return verdicts
}
