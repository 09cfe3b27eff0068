//go:build libxml2 && cgo

package xsd_test

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/testdata/standard"
	"quoin/validate"
	"quoin/validate/xsd"
)

// verdict is what xmllint says of a file.
type verdict struct {
	valid bool
	lines []int // of its errors
}

var (
	verdictLine = regexp.MustCompile(`(?m)^(.+) (validates|fails to validate)$`)
	errorLine   = regexp.MustCompile(`(?m)^(.+?):(\d+): element .*Schemas validity error : `)
)

// xmllint holds files against a schema, in one process.
func xmllint(t *testing.T, schema string, files []string) map[string]*verdict {
	t.Helper()
	program, err := exec.LookPath("xmllint")
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("CI needs xmllint")
		}
		t.Skip("xmllint is not installed")
	}
	cmd := exec.Command(program, append([]string{"--noout", "--nonet", "--schema", schema}, files...)...)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	var exit *exec.ExitError
	if err := cmd.Run(); err != nil {
		require.ErrorAs(t, err, &exit)
	}
	said := map[string]*verdict{}
	for _, m := range verdictLine.FindAllStringSubmatch(stderr.String(), -1) {
		said[m[1]] = &verdict{valid: m[2] == "validates"}
	}
	for _, m := range errorLine.FindAllStringSubmatch(stderr.String(), -1) {
		line, err := strconv.Atoi(m[2])
		require.NoError(t, err)
		said[m[1]].lines = append(said[m[1]].lines, line)
	}
	require.Len(t, said, len(files), "%.2000s", stderr.String())
	return said
}

// patched copies the published JDF 1.x schema, without what xmllint refuses.
func patched(t *testing.T, dir string) string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, "*.xsd"))
	require.NoError(t, err)
	require.Len(t, files, 8)
	copied := t.TempDir()
	for _, f := range files {
		text, err := os.ReadFile(f)
		require.NoError(t, err)
		text = bytes.ReplaceAll(text, []byte(`\~`), []byte(`~`))
		require.NoError(t, os.WriteFile(filepath.Join(copied, filepath.Base(f)), text, 0o600))
	}
	return filepath.Join(copied, "JDF.xsd")
}

// findings checks one file.
func findings(t *testing.T, schema *xsd.Schema, path string) []validate.Finding {
	t.Helper()
	doc, faults, err := jdf.ReadFile(path, jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults)
	var found []validate.Finding
	require.NoError(t, schema.Check(doc, func(f validate.Finding) {
		if f.Rule.ID != xsd.LargeRule {
			found = append(found, f)
		}
	}))
	return found
}

// agree compares the two over files, errors one by one, and returns how many
// files are valid and how many errors there were.
func agree(t *testing.T, schema *xsd.Schema, judge string, files []string) (valid, errors int) {
	t.Helper()
	for path, want := range xmllint(t, judge, files) {
		found := findings(t, schema, path)
		require.Equal(t, want.valid, len(found) == 0, path)
		require.Len(t, found, len(want.lines), path)
		for i, f := range found {
			tag := f.Place.Node().Place()
			// libxml2 counts a tag at the line where it ends.
			require.GreaterOrEqual(t, want.lines[i], tag.Pos().Line, path)
			require.LessOrEqual(t, want.lines[i], tag.EndPos().Line, path)
			require.NotContains(t, f.Message(), "{http://www.CIP4.org", path)
		}
		errors += len(found)
		if want.valid {
			valid++
		}
	}
	return valid, errors
}

// Source: the published XML schemas and samples of the standard; libxml2 as
// xmllint is the judge, for JDF 1.x over a copy without the escapes.
func TestSamplesAgreeWithXmllint(t *testing.T) {
	dir := standard.Dir(t)
	files := map[string][]string{}
	for _, s := range standard.Samples(t) {
		rel, err := filepath.Rel(dir, s)
		require.NoError(t, err)
		generation, _, _ := strings.Cut(filepath.ToSlash(rel), "/")
		files[generation] = append(files[generation], s)
	}
	for _, c := range []struct{ generation, path, judge string }{
		{"jdf", filepath.Join(dir, "jdf"), patched(t, filepath.Join(dir, "jdf"))},
		{"jdf", filepath.Join(dir, "jdf", "JDF.xsd"), patched(t, filepath.Join(dir, "jdf"))},
		{"xjdf", filepath.Join(dir, "xjdf"), filepath.Join(dir, "xjdf", "xjdf.xsd")},
	} {
		schema, err := xsd.Compile(c.path)
		require.NoError(t, err)
		require.Greater(t, len(files[c.generation]), 100)
		valid, errors := agree(t, schema, c.judge, files[c.generation])
		t.Logf("%s: %d files, %d valid, %d errors", c.path, len(files[c.generation]), valid, errors)
		require.NotZero(t, valid)
	}
}

// The published schema is read as it is, and the notices say what was mended.
//
// Source: the published JDF schema, as it stands.
func TestPublishedSchemaIsMended(t *testing.T) {
	schema, err := xsd.Compile(filepath.Join(standard.Dir(t), "jdf", "JDF.xsd"))
	require.NoError(t, err)
	var said []string
	for _, n := range schema.Notices() {
		require.Equal(t, validate.Note, n.Severity)
		pos := n.Place.Pos()
		said = append(said, filepath.Base(n.Place.File())+":"+strconv.Itoa(pos.Line)+" "+n.Message())
	}
	const say = ` pattern escapes "\\~", which XML Schema does not allow; read as "~"`
	require.Equal(t, []string{"JDFTypes.xsd:160" + say, "JDFTypes.xsd:165" + say}, said)
}
