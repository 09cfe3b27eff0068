package rules_test

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate"
	"quoin/validate/rules"
)

var update = flag.Bool("update", false, "rewrite RULES.md and the golden files")

// rewriting reports whether golden files are to be written, which is for a
// person to do and to look at.
func rewriting(t *testing.T) bool {
	t.Helper()
	require.False(t, *update && os.Getenv("CI") != "", "-update is not for CI")
	return *update
}

// check runs the stage over a text. The text must be well-formed.
func check(t testing.TB, name, text string, options ...rules.Options) []validate.Finding {
	t.Helper()
	doc, faults, err := jdf.Read(name, strings.NewReader(text), jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults, name)
	return checkDocument(t, doc, options...)
}

func checkDocument(t testing.TB, doc *jdf.Document, options ...rules.Options) []validate.Finding {
	t.Helper()
	report := validate.NewReport(0)
	subject := &validate.Subject{Doc: doc, Job: job.Decode(doc)}
	require.NoError(t, rules.Stage(options...).Check(subject, report.Add))
	report.Finish()
	return report.Findings
}

var rootName = regexp.MustCompile(`^<(JDF|JMF|XJDF|XJMF)\b`)

// whole adds the namespace that examples leave out.
func whole(example string) string {
	name := rootName.FindStringSubmatch(example)
	if name == nil {
		panic("an example begins with its root: " + example)
	}
	space := jdf.NamespaceJDF
	if name[1][0] == 'X' {
		space = jdf.NamespaceXJDF
	}
	return fmt.Sprintf("<%s xmlns=%q%s", name[1], space, example[len(name[0]):])
}

func has(findings []validate.Finding, id string) bool {
	for _, f := range findings {
		if f.Rule.ID == id {
			return true
		}
	}
	return false
}

func TestExamples(t *testing.T) {
	require.NotEmpty(t, rules.Rules())
	for _, r := range rules.Rules() {
		bad, good := rules.Example(r.ID)
		require.NotEmpty(t, bad, r.ID)
		require.NotEmpty(t, good, r.ID)
		require.True(t, has(check(t, r.ID, whole(bad)), r.ID), "%s: the bad example is not found\n%s", r.ID, bad)
		require.False(t, has(check(t, r.ID, whole(good)), r.ID), "%s: the good example is found\n%s", r.ID, good)
	}
	bad, good := rules.Example("ref/no-such-rule")
	require.Empty(t, bad+good)
}

// The order in which findings come is fixed, also before they are sorted, so
// that a report that keeps the first of them is always the same.
func TestFindingsComeInOneOrder(t *testing.T) {
	texts := []string{largeJDF(40), largeXJDF(40)}
	for _, r := range rules.Rules() {
		bad, _ := rules.Example(r.ID)
		texts = append(texts, whole(bad))
	}
	stage := rules.Stage()
	for _, text := range texts {
		s := subject(t, text)
		var first []string
		for round := range 4 {
			var got []string
			require.NoError(t, stage.Check(s, func(f validate.Finding) { got = append(got, golden(f)+f.Message()) }))
			if round == 0 {
				first = got
			}
			require.Equal(t, first, got)
		}
	}
}

func TestFragments(t *testing.T) {
	severity := func(id string, options ...rules.Options) validate.Severity {
		bad, _ := rules.Example(id)
		for _, f := range check(t, id, whole(bad), options...) {
			if f.Rule.ID == id {
				return f.Severity
			}
		}
		return 0
	}
	fragment := rules.Options{Fragment: true}
	require.Equal(t, validate.Error, severity("ref/dangling"))
	require.Equal(t, validate.Note, severity("ref/dangling", fragment))
	require.Equal(t, validate.Warning, severity("process/input-missing"))
	require.Zero(t, severity("process/input-missing", fragment))
	require.Equal(t, validate.Error, severity("ref/duplicate-id", fragment))
}

func TestRuleTables(t *testing.T) {
	form := regexp.MustCompile(`^(ref|process|schema|message|audit)/[a-z]+(-[a-z]+)*$`)
	unfilled := regexp.MustCompile(`\{[a-z]`)
	seen := map[string]bool{}
	for _, r := range rules.Rules() {
		require.Regexp(t, form, r.ID)
		require.False(t, seen[r.ID], "%s is given twice", r.ID)
		seen[r.ID] = true
		require.NotZero(t, r.Severity, r.ID)
		require.Contains(t, []validate.Party{validate.Sender, validate.Plant, validate.Operator}, r.Mends, r.ID)
		require.NotEmpty(t, r.Why, r.ID)
		require.False(t, strings.HasSuffix(r.Say, "."), "%s: a sentence of a finding has no full stop", r.ID)
		bad, _ := rules.Example(r.ID)
		for _, f := range check(t, r.ID, whole(bad)) {
			require.True(t, f.Place.Known(), f.Rule.ID)
			require.NotRegexp(t, unfilled, f.Message(), f.Rule.ID)
			require.NotRegexp(t, unfilled, f.Advice(), f.Rule.ID)
		}
	}
}

func TestCatalogue(t *testing.T) {
	var page bytes.Buffer
	require.NoError(t, rules.Catalogue(&page))
	if rewriting(t) {
		require.NoError(t, os.WriteFile("RULES.md", page.Bytes(), 0o644))
	}
	want, err := os.ReadFile("RULES.md")
	require.NoError(t, err)
	require.Equal(t, string(want), page.String(), "RULES.md is stale; run go test ./validate/rules -update")
}
