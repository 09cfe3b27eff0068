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
	"quoin/testdata/standard"
	"quoin/validate"
	"quoin/validate/rules"
)

// verdicts are the words that a finding on a sample is judged with, at the end
// of its line in samples.txt: whether the sample leaves out what a whole ticket
// has, is mistaken, or is meant to be.
var verdicts = []string{"fragment", "slip", "intended"}

// TestSamples pins every finding on the published samples.
//
// Source: the published samples of the standard. The verdicts were given one
// by one; a rule that was wrong has been mended.
func TestSamples(t *testing.T) {
	dir := standard.Dir(t)
	var got []string
	judged := readVerdicts(t)
	for _, path := range standard.Samples(t) {
		doc, faults, err := jdf.ReadFile(path, jdf.Limits{})
		require.NoError(t, err)
		require.Empty(t, faults, path)
		name, err := filepath.Rel(dir, path)
		require.NoError(t, err)
		for _, f := range checkDocument(t, doc) {
			got = append(got, sampleLine(name, f))
		}
		// What is only missing in a fragment is no more than a note there.
		for _, f := range checkDocument(t, doc, rules.Options{Fragment: true}) {
			line := sampleLine(name, f)
			require.Contains(t, judged, line)
			if f.Severity > validate.Note {
				require.False(t, strings.HasPrefix(judged[line], "fragment"), line)
			}
		}
	}
	want := make([]string, 0, len(judged))
	for line, verdict := range judged {
		want = append(want, line)
		word, _, _ := strings.Cut(verdict, ":")
		require.Contains(t, verdicts, word, line)
	}
	slices.Sort(got)
	slices.Sort(want)
	require.Equal(t, strings.Join(want, "\n"), strings.Join(slices.Compact(got), "\n"))
}

func sampleLine(name string, f validate.Finding) string {
	pos := f.Place.Pos()
	return fmt.Sprintf("%s %s %d:%d", filepath.ToSlash(name), f.Rule.ID, pos.Line, pos.Column)
}

func readVerdicts(t *testing.T) map[string]string {
	t.Helper()
	text, err := os.ReadFile("testdata/samples.txt")
	require.NoError(t, err)
	judged := map[string]string{}
	for line := range strings.Lines(string(text)) {
		fields := strings.SplitN(strings.TrimSpace(line), " ", 4)
		require.Len(t, fields, 4, line)
		judged[strings.Join(fields[:3], " ")] = fields[3]
	}
	return judged
}

// Source: the published samples of illegal partitions, whose bad part stands
// in a namespace of its own so that schemas let it pass.
func TestSamplesOfIllegalPartitions(t *testing.T) {
	dir := filepath.Join(standard.Dir(t), "jdf", "samples", "structure")
	for name, want := range map[string]string{
		"illegalIncompletePartition.jdf":    "ref/partition-key-wrong",
		"illegalPartition.jdf":              "ref/partition-key-wrong",
		"invalidDegeneratePartition.jdf":    "ref/partition-key-on-root",
		"invalidInlinePartitionedMedia.jdf": "ref/partition-inline",
	} {
		text, err := os.ReadFile(filepath.Join(dir, name))
		require.NoError(t, err)
		mended := strings.ReplaceAll(string(text), jdf.NamespaceJDF+"/Invalid", jdf.NamespaceJDF)
		require.NotEqual(t, string(text), mended, name)
		require.True(t, has(check(t, name, mended), want), "%s: %s is not found", name, want)
	}
}
