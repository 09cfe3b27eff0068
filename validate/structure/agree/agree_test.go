package main

import (
	"flag"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/testdata/standard"
	"quoin/validate/xsd"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// libxml2 is the engine to compare with, whichever is at hand.
func libxml2(t *testing.T, dir string) engine {
	t.Helper()
	if xsd.BuiltIn() {
		l, err := newLinked(dir)
		require.NoError(t, err)
		return l
	}
	needs(t, "xmllint")
	x, err := newXMLLint(dir, t.TempDir())
	require.NoError(t, err)
	return x
}

// needs skips a test whose program is not installed, but not in CI.
func needs(t *testing.T, program string) {
	t.Helper()
	if _, err := exec.LookPath(program); err != nil {
		require.Empty(t, os.Getenv("CI"), "CI needs %s", program)
		t.Skipf("%s is not installed; its verdicts are not compared", program)
	}
}

// Every sample has one verdict or a known reason, and so has every mutant; that
// all mutants do is more than is promised, but so it is for this seed.
//
// Source: the published schemas and samples, read by an independent processor.
func TestAgreement(t *testing.T) {
	dir := standard.Dir(t)
	if !xsd.BuiltIn() {
		needs(t, "xmllint")
	}
	found, err := run(options{dir: dir, seed: 7, mutants: 6_000})
	require.NoError(t, err)
	require.Equal(t, standard.SampleCount, found.samples)
	require.Greater(t, found.bare, 100)
	require.Greater(t, found.valid, found.mutants/5, "right mutants")
	require.Less(t, found.valid, found.mutants/2, "right mutants")
	var said strings.Builder
	require.NoError(t, found.write(&said, false))
	t.Log(said.String())
	require.True(t, found.good(), "differences without a reason")
	for _, s := range found.splits {
		require.NotEmpty(t, s.reason, "%s: %s", s.name, s.what)
	}
	golden(t, "splits.md", found.table())
}

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

// examples are the splits of the tickets in testdata, by reason.
func examples(t *testing.T, other engine) []split {
	var texts []text
	for _, r := range reasons {
		data, err := os.ReadFile(filepath.Join("testdata", r.example))
		require.NoError(t, err)
		gen := 0
		if strings.HasPrefix(filepath.Ext(r.example), ".x") {
			gen = 1
		}
		texts = append(texts, text{gen, string(data)})
	}
	ours, err := native{}.judge(texts)
	require.NoError(t, err)
	theirs, err := other.judge(texts)
	require.NoError(t, err)
	var splits []split
	for i, r := range reasons {
		require.NotEqual(t, ours[i].valid, theirs[i].valid, "%s: both say %v", r.example, ours[i].says)
		require.True(t, r.both || r.ours == theirs[i].valid, r.example)
		splits = append(splits, split{name: r.example, what: "example", text: texts[i], ours: ours[i], theirs: theirs[i]})
	}
	return splits
}

// Each reason is found for its example, and the JDK sides with the stage where
// the reason says so.
//
// Source: the published schemas, read by two independent processors.
func TestReasons(t *testing.T) {
	dir := standard.Dir(t)
	other := libxml2(t, dir)
	splits := examples(t, other)
	require.NoError(t, explain(splits, other))
	for i, r := range reasons {
		require.Equal(t, r.id, splits[i].reason, r.example)
	}
	t.Run("jdk", func(t *testing.T) {
		if _, err := exec.LookPath("java"); err != nil {
			t.Skip("no JDK is installed; it is not asked")
		}
		found := outcome{options: options{dir: dir}, splits: splits}
		require.NoError(t, found.settle(t.TempDir()))
		for i, s := range found.splits {
			require.False(t, s.refuted(), "%s: the JDK says %v", s.name, s.jdk.says)
			if !reasons[i].jdk {
				require.Equal(t, s.theirs.valid, s.jdk.valid, "%s: the JDK says %v", s.name, s.jdk.says)
			}
		}
	})
}

// A difference that nobody knows of has no reason, and spoils the run.
//
// Source: the published schemas, read by libxml2.
func TestUnknownDifference(t *testing.T) {
	other := libxml2(t, standard.Dir(t))
	for _, c := range []struct{ name, from, to string }{
		{"duplicate-id.jdf", `Status="Available"`, `Status="Avail"`},
		{"partition.jdf", ` ComponentType="FinalProduct"`, ""},
		{"white-space.xjdf", " 4711", "4711a"},
		{"private-type.jmf", "smp:QueryTide", "QueryTide"},
	} {
		data, err := os.ReadFile(filepath.Join("testdata", c.name))
		require.NoError(t, err)
		xml := strings.ReplaceAll(string(data), c.from, c.to)
		require.NotEqual(t, string(data), xml)
		gen := 0
		if strings.HasSuffix(c.name, ".xjdf") {
			gen = 1
		}
		theirs, err := other.judge([]text{{gen, xml}})
		require.NoError(t, err)
		require.False(t, theirs[0].valid)
		// As if the stage had overlooked it.
		splits := []split{{
			name: c.name, what: "made up", text: text{gen, xml}, ours: verdict{valid: true}, theirs: theirs[0],
		}}
		require.NoError(t, explain(splits, other))
		require.Empty(t, splits[0].reason, c.name)
		found := outcome{options: options{mutants: 100}, splits: splits}
		require.InDelta(t, 0.99, found.agreed(), 1e-9)
		require.False(t, found.good())
	}
}

// Both ways to libxml2 give the same verdicts.
//
// Source: the published schemas, read by libxml2 in two ways.
func TestWaysToLibxml2(t *testing.T) {
	if !xsd.BuiltIn() {
		t.Skip("libxml2 is not built in; there is one way alone")
	}
	needs(t, "xmllint")
	dir := standard.Dir(t)
	samples, err := readSamples(dir)
	require.NoError(t, err)
	r := rand.New(rand.NewPCG(7, 7))
	var texts []text
	for range 500 {
		texts = append(texts, mutate(r, samples).text)
	}
	x, err := newXMLLint(dir, t.TempDir())
	require.NoError(t, err)
	outside, err := x.judge(texts)
	require.NoError(t, err)
	inside, err := libxml2(t, dir).judge(texts)
	require.NoError(t, err)
	for i := range texts {
		require.Equal(t, outside[i].valid, inside[i].valid, "%s\n%v\n%v", texts[i].xml, outside[i].says, inside[i].says)
		require.Len(t, inside[i].says, len(outside[i].says))
	}
}

// Every kind of change is made, and leaves XML that is well-formed and differs.
//
// Source: the published samples, as texts to change.
func TestOperators(t *testing.T) {
	samples, err := readSamples(standard.Dir(t))
	require.NoError(t, err)
	for _, op := range operators() {
		t.Run(op.name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(1, 2))
			changed, broken := 0, 0
			for range 400 {
				s := samples[r.IntN(len(samples))]
				xml, what := op.apply(draw{r, s})
				if what == "" || xml == s.doc.Source.Text {
					continue
				}
				if _, err := read(xml); err != nil {
					broken++
					continue
				}
				changed++
			}
			require.Greater(t, changed, 100)
			require.Less(t, broken, changed)
		})
	}
}

// The same seed draws the same mutants.
//
// Source: the published samples, as texts to change.
func TestSeed(t *testing.T) {
	samples, err := readSamples(standard.Dir(t))
	require.NoError(t, err)
	one, two := rand.New(rand.NewPCG(3, 0)), rand.New(rand.NewPCG(3, 0))
	for range 200 {
		require.Equal(t, mutate(one, samples), mutate(two, samples))
	}
}
