// Package judge holds messages that were written against all that can judge
// them: the structure and the rules of Quoin, and the published schemas read by
// libxml2. It is for tests.
package judge

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"sort"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/testdata/standard"
	"quoin/validate"
	"quoin/validate/rules"
	"quoin/validate/structure"
)

// Findings lists what Quoin finds in a document, as "id: message".
func Findings(t testing.TB, name string, text []byte) []string {
	t.Helper()
	doc, faults, err := jdf.Read(name, bytes.NewReader(text), jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults, "%s: %s", name, text)
	var all []string
	report := func(f validate.Finding) { all = append(all, f.Rule.ID+": "+f.Message()) }
	structure.Check(doc, structure.Options{}, report)
	require.NoError(t, rules.Stage().Check(&validate.Subject{Doc: doc, Job: job.Decode(doc)}, report))
	return all
}

// Sound holds that Quoin finds nothing in the documents but what is excused,
// by rule.
func Sound(t testing.TB, docs map[string][]byte, excused ...string) {
	t.Helper()
	require.NotEmpty(t, docs)
	for _, name := range names(docs) {
		for _, f := range Findings(t, name, docs[name]) {
			id, _, _ := strings.Cut(f, ":")
			if !contains(excused, id) {
				t.Errorf("%s: %s\n%s", name, f, docs[name])
			}
		}
	}
}

func contains(all []string, s string) bool {
	for _, a := range all {
		if a == s {
			return true
		}
	}
	return false
}

func names(docs map[string][]byte) []string {
	var all []string
	for name := range docs {
		all = append(all, name)
	}
	sort.Strings(all)
	return all
}

// Published holds the documents against the published schemas.
//
// Source: the published schemas of both generations, read by libxml2, which
// refuses the JDF one as it stands for an escape that XML Schema does not know.
func Published(t testing.TB, docs map[string][]byte) {
	t.Helper()
	from := standard.Dir(t)
	tool, err := exec.LookPath("xmllint")
	if err != nil {
		require.Empty(t, os.Getenv("CI"), "xmllint is not installed; CI needs it")
		t.Skip("xmllint is not installed; install libxml2-utils to hold messages against the published schemas")
	}
	schema, dir := t.TempDir(), t.TempDir()
	published, err := filepath.Glob(filepath.Join(from, "jdf", "*.xsd"))
	require.NoError(t, err)
	require.Len(t, published, 8)
	for _, path := range published {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		text = bytes.ReplaceAll(text, []byte(`\~`), []byte(`~`))
		require.NoError(t, os.WriteFile(filepath.Join(schema, filepath.Base(path)), text, 0o600))
	}
	args := map[bool][]string{
		true:  {"--noout", "--schema", filepath.Join(schema, "JDF.xsd")},
		false: {"--noout", "--schema", filepath.Join(from, "xjdf", "xjdf.xsd")},
	}
	files := map[bool]int{}
	for _, name := range names(docs) {
		first := bytes.Contains(docs[name], []byte(jdf.NamespaceJDF))
		path := filepath.Join(dir, strings.NewReplacer("/", "_", " ", "_").Replace(name)+".xml")
		require.NoError(t, os.WriteFile(path, docs[name], 0o600))
		args[first] = append(args[first], path)
		files[first]++
	}
	for first, n := range files {
		out, _ := exec.Command(tool, args[first]...).CombinedOutput()
		if got := strings.Count(string(out), " validates\n"); got != n {
			t.Errorf("%d of %d documents validate\n%s", got, n, complaints(string(out), dir))
		}
	}
}

// complaints leaves what is wrong of the output of xmllint.
func complaints(out, dir string) string {
	var all strings.Builder
	for line := range strings.Lines(strings.ReplaceAll(out, dir, "")) {
		if !strings.HasSuffix(line, " validates\n") {
			all.WriteString(line)
		}
	}
	return all.String()
}
