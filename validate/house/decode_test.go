package house_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/house"
)

var update = flag.Bool("update", false, "rewrite the golden files")

var known = []string{"xml/syntax", "ref/unused", "ref/missing-id", "plant/sheet-too-large", "house/file-syntax"}

const whole = `# Saltmarsh Print Works
plant: plants/saltmarsh.yaml
profiles: [cover, text]
severity:
  ref/unused: note
  "plant/sheet-too-large": warning
ignore:
  - rule: ref/missing-id   # known
    reason: "the stock system: no ids"
    until: 2026-12-31
limits:
  max bytes: 64 MB
  max depth: 100
`

func TestDecodeWhole(t *testing.T) {
	file, findings := house.Decode(filepath.Join("jobs", "quoin.yaml"), []byte(whole), known)
	require.Empty(t, findings)
	require.Equal(t, filepath.Join("jobs", "plants", "saltmarsh.yaml"), file.Plant)
	require.Equal(t, []string{"cover", "text"}, file.Profiles)
	require.Equal(t, map[string]validate.Severity{
		"ref/unused": validate.Note, "plant/sheet-too-large": validate.Warning,
	}, file.Severity)
	require.Equal(t, jdf.Limits{MaxBytes: 64_000_000, MaxDepth: 100}, file.Limits)
	require.Len(t, file.Ignore, 1)
	one := file.Ignore[0]
	require.Equal(t, "ref/missing-id", one.Rule)
	require.Equal(t, "the stock system: no ids", one.Reason)
	require.Equal(t, "2026-12-31", one.Until.Format(time.DateOnly))
	require.Equal(t, "ref/missing-id", file.Source.Text[one.Place.Start:one.Place.End])
}

func TestDecodeNothing(t *testing.T) {
	for _, text := range []string{
		"", "\n", "# only a comment\n", "---\n", "~\n", "\ufeff", "plant:\nignore:\nlimits:\nseverity:\nprofiles:\n",
	} {
		file, findings := house.Decode("quoin.yaml", []byte(text), known)
		require.Empty(t, findings, "%q", text)
		require.NotNil(t, file)
		require.Zero(t, file.Plant)
	}
}

var faulty = []struct{ name, text string }{
	{"mistyped key", "plants: a\n"},
	{"unlike key", "x: a\n"},
	{"key behind umlauts", "{'ünïcode': 1, limts: {}}\n"},
	{"key in a group", "limits:\n  max byte: 3\n"},
	{"twice", "plant: a\nplant: b\n"},
	{"not a group", "- a\n"},
	{"plant is a list", "plant: [a]\n"},
	{"profiles is a word", "profiles: a\n"},
	{"profile twice", "profiles: [a, 'a']\n"},
	{"profile empty", "profiles: ['']\n"},
	{"unknown rule", "severity:\n  ref/unsed: note\n"},
	{"unknown severity", "severity: {ref/unused: fatal}\n"},
	{"rule of XML", "severity:\n  xml/syntax: note\n"},
	{"rule of the house", "ignore: [{rule: house/file-syntax, reason: x, until: 2030-01-01}]\n"},
	{"no reason", "ignore:\n  - rule: ref/unused\n    until: 2030-01-01\n"},
	{"empty reason", "ignore:\n  - rule: ref/unused\n    until: 2030-01-01\n    reason:\n"},
	{"no end", "ignore:\n  - {rule: ref/unused, reason: x}\n"},
	{"no such day", "ignore:\n  - {rule: ref/unused, reason: x, until: 2026-02-30}\n"},
	{"ignored twice", "ignore:\n" +
		"  - {rule: ref/unused, reason: x, until: 2026-02-03}\n" +
		"  - {rule: ref/unused, reason: y, until: 2026-02-03}\n"},
	{"entry is a word", "ignore: [ref/unused]\n"},
	{"alias", "plant: &a x\nprofiles: [*a]\n"},
	{"merge", "limits: &a {max depth: 3}\nseverity: {<<: *a}\n"},
	{"size", "limits: {max bytes: 3 TB}\n"},
	{"size too large", "limits: {max bytes: 9 GB}\n"},
	{"depth", "limits: {max depth: 0}\n"},
	{"not UTF-8", "plant: a\xff\n"},
	{"second document", "plant: a\n---\nplant: b\n"},
	{"not YAML", "plant: a\nignore:\n\t- rule: x\n"},
	{"mistyped key far from all", "ignroe_all: x\n"},
}

// TestDecodeFaults pins what is said of each fault, and where, to the column.
func TestDecodeFaults(t *testing.T) {
	var got strings.Builder
	for _, c := range faulty {
		_, findings := house.Decode("quoin.yaml", []byte(c.text), known)
		require.NotEmpty(t, findings, c.name)
		fmt.Fprintf(&got, "== %s: %q\n", c.name, c.text)
		for _, f := range findings {
			at, end := f.Place.Pos(), f.Place.EndPos()
			fmt.Fprintf(&got, "%d:%d-%d %s\n  %s\n", at.Line, at.Column, end.Column, f.Rule.ID, f.Message())
			if advice := f.Advice(); advice != "" {
				fmt.Fprintf(&got, "  do %s\n", advice)
			}
		}
	}
	golden := filepath.Join("testdata", "faults.txt")
	if *update {
		require.Empty(t, os.Getenv("CI"), "golden files are not rewritten in CI")
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(golden, []byte(got.String()), 0o644))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err)
	require.Equal(t, string(want), got.String())
}

// Source: ISO/IEC 80000-13 for the prefixes; 2 GiB is what a reader of tickets takes.
func TestSizes(t *testing.T) {
	for text, want := range map[string]int64{
		"1": 1, "250000": 250_000, "'7 B'": 7, "3kB": 3000, "5 MB": 5_000_000, "2 MiB": 2_097_152,
		"1 GiB": 1_073_741_824, "2 GB": 2_000_000_000, "2 GiB": 2_147_483_647,
		"0": 0, "-4": 0, "1.5 MB": 0, "MB": 0, "3 mb": 0,
		"99999999999999999999": 0,
	} {
		file, findings := house.Decode("quoin.yaml", []byte("limits: {max bytes: "+text+"}"), known)
		require.Equal(t, want, file.Limits.MaxBytes, text)
		require.Equal(t, want == 0, len(findings) > 0, text)
	}
}

func TestFind(t *testing.T) {
	root := t.TempDir()
	deep := filepath.Join(root, "a", "b", "c")
	require.NoError(t, os.MkdirAll(deep, 0o755))
	// A folder of the name does not count.
	require.NoError(t, os.MkdirAll(filepath.Join(root, "a", "b", house.FileName), 0o755))
	path := filepath.Join(root, house.FileName)
	require.NoError(t, os.WriteFile(path, nil, 0o644))
	got, ok := house.Find(deep)
	require.True(t, ok)
	require.Equal(t, path, got)
	near := filepath.Join(deep, house.FileName)
	require.NoError(t, os.WriteFile(near, nil, 0o644))
	got, _ = house.Find(deep)
	require.Equal(t, near, got)
	t.Chdir(deep)
	got, ok = house.Find(".")
	require.True(t, ok)
	require.True(t, filepath.IsAbs(got))
}

func TestLoad(t *testing.T) {
	path := filepath.Join(t.TempDir(), house.FileName)
	_, _, err := house.Load(path, known)
	require.ErrorIs(t, err, os.ErrNotExist)
	require.NoError(t, os.WriteFile(path, []byte(whole), 0o644))
	file, findings, err := house.Load(path, known)
	require.NoError(t, err)
	require.Empty(t, findings)
	require.Equal(t, filepath.Join(filepath.Dir(path), "plants", "saltmarsh.yaml"), file.Plant)
	require.NoError(t, os.WriteFile(path, []byte(strings.Repeat("#\n", 200_000)), 0o644))
	_, _, err = house.Load(path, known)
	require.ErrorContains(t, err, "over 256 KiB")
}

func TestRulesAreWellMade(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range house.Rules() {
		require.Equal(t, validate.GroupHouse, r.Group())
		require.False(t, seen[r.ID], r.ID)
		seen[r.ID] = true
		require.NotEmpty(t, r.Why)
	}
	require.Len(t, seen, 11)
}

func FuzzDecode(f *testing.F) {
	for _, seed := range []string{
		whole, "", "a: *b", "{", "? [a]\n: b", "ignore: [{rule: ref/unused, reason: x, until: 2030-01-01}]",
		"limits: {max bytes: 1 GiB}", "\"\\x", "- - - -", "plant: |\n  a\n",
		"severity: {ref/unused: note, ref/unused: error}",
		"a:\u2028b: \u0085c", "%YAML 1.2\n---\nplant: a", "!!binary x: y", "&a [*a]", "plant: 'it''s'\r\nprofiles:\r\n - a",
	} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		file, findings := house.Decode("quoin.yaml", text, known)
		require.NotNil(t, file)
		for _, one := range findings {
			at := one.Place
			require.True(t, 0 <= at.Start && at.Start <= at.End && at.End <= len(at.Source.Text), "%+v", at)
			require.True(t, utf8.ValidString(at.Source.Text[at.Start:at.End]) || !utf8.ValidString(at.Source.Text))
			require.NotEmpty(t, one.Message())
			require.NotContains(t, one.Message(), "{path")
		}
		if len(findings) > 0 {
			return
		}
		for _, i := range file.Ignore {
			require.Contains(t, known, i.Rule)
			require.NotEmpty(t, i.Reason)
			require.False(t, i.Until.IsZero())
		}
		for id := range file.Severity {
			require.Contains(t, known, id)
		}
	})
}
