package convert

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/testdata/standard"
)

// kindsConverted is how many samples of each kind the release has.
//
// Source: the roots of the published samples, counted with a search.
var kindsConverted = map[jdf.Kind]int{jdf.KindJDF: 118, jdf.KindXJDF: 91, jdf.KindJMF: 30, jdf.KindXJMF: 53}

// exceptions are the samples that can not be converted to something valid, and
// why.
var exceptions = map[string]string{}

// Every sample of the standard converts, and what comes out is valid by the
// structure stage.
//
// Source: the published samples and schemas.
func TestSamplesConvert(t *testing.T) {
	failed := 0
	for kind, want := range kindsConverted {
		samples := samplesOf(t, kind)
		require.Len(t, samples, want, kind)
		for name, doc := range samples {
			r, err := To([]*jdf.Document{doc}, other[kind], Options{Clock: noon})
			require.NoError(t, err, name)
			bad := []string{"nothing came out"}
			if len(r.Outputs) > 0 {
				bad = nil
			}
			for _, o := range reread(t, r.Outputs) {
				require.Equal(t, other[kind], o.Kind, name)
				bad = append(bad, structureErrors(o)...)
			}
			if len(bad) > 0 {
				failed++
			}
			require.Equal(t, exceptions[name] != "", len(bad) > 0, "%s: %v", name, bad)
		}
	}
	const most = standard.SampleCount * 2 / 100
	require.LessOrEqual(t, failed, most, "more than two samples in a hundred")
}

// Every sample converts to something that the published schemas take.
//
// Source: the published schemas, read by an independent processor.
func TestSamplesAgainstXSD(t *testing.T) {
	lint, err := exec.LookPath("xmllint")
	if err != nil {
		require.Empty(t, os.Getenv("CI"), "CI needs xmllint of libxml2")
		t.Skip("xmllint of libxml2 is not installed; outputs are not compared with the published schemas")
	}
	dir := standard.Dir(t)
	schema := map[bool]string{
		true:  filepath.Join(patchedJDF(t, filepath.Join(dir, "jdf")), "JDF.xsd"),
		false: filepath.Join(dir, "xjdf", "xjdf.xsd"),
	}
	files := map[bool][]string{}
	out := t.TempDir()
	for kind := range kindsConverted {
		for name, doc := range samplesOf(t, kind) {
			r, err := To([]*jdf.Document{doc}, other[kind], Options{Clock: noon})
			require.NoError(t, err)
			for i, o := range r.Outputs {
				path := filepath.Join(out, strings.ReplaceAll(name, "/", "_")+"."+string(rune('a'+i))+".xml")
				require.NoError(t, os.WriteFile(path, []byte(text(t, o)), 0o644))
				files[other[kind].First()] = append(files[other[kind].First()], path)
			}
		}
	}
	for first, list := range files {
		require.Greater(t, len(list), 100)
		cmd := exec.Command(lint, append([]string{"--noout", "--nonet", "--schema", schema[first]}, list...)...)
		var stderr bytes.Buffer
		cmd.Stderr = &stderr
		_ = cmd.Run() // the verdicts stand in what it writes
		verdicts := 0
		for _, l := range strings.Split(stderr.String(), "\n") {
			switch {
			case strings.HasSuffix(l, " validates"):
				verdicts++
			case strings.HasSuffix(l, " fails to validate"):
				verdicts++
				name := sampleOf(strings.TrimSuffix(filepath.Base(l), " fails to validate"))
				require.NotEmpty(t, xsdExceptions[name], "%s\n%s", l, about(stderr.String(), name))
			}
		}
		require.Equal(t, len(list), verdicts)
	}
}

// xsdExceptions are the samples whose converted form libxml2 refuses, and why.
var xsdExceptions = map[string]string{
	"jdf_samples_jmf_customQueryForIfraTrack.jmf": "libxml2 refuses the sample itself for the same reason: " +
		"the xsi:type of a private namespace that it has no schema for",
}

var suffix = regexp.MustCompile(`\.[a-z]\.xml$`)

func sampleOf(file string) string { return suffix.ReplaceAllString(file, "") }

// about is what was said of one file.
func about(all, name string) string {
	var lines []string
	for _, l := range strings.Split(all, "\n") {
		if strings.Contains(l, name) {
			lines = append(lines, l)
		}
	}
	return strings.Join(lines, "\n")
}

// patchedJDF copies the schema without the escape of the tilde, which XML Schema
// does not know and libxml2 refuses.
func patchedJDF(t *testing.T, from string) string {
	t.Helper()
	to := t.TempDir()
	files, err := filepath.Glob(filepath.Join(from, "*.xsd"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, f := range files {
		data, err := os.ReadFile(f)
		require.NoError(t, err)
		data = bytes.ReplaceAll(data, []byte(`\~`), []byte(`~`))
		require.NoError(t, os.WriteFile(filepath.Join(to, filepath.Base(f)), data, 0o644))
	}
	return to
}
