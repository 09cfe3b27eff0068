//go:build !checker

package render_test

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/render"
)

type writer = io.Writer

var sampleFiles = []string{"jobs/grün & co.xjdf", "jobs/clean.jdf", "evil\x1b[2J.jdf"}

// writers are the formats other than text, by the name of their golden files.
func writers() map[string]func(io.Writer, *validate.Report) error {
	return map[string]func(io.Writer, *validate.Report) error{
		"report.json": render.JSON,
		"report.sarif": func(w io.Writer, r *validate.Report) error {
			return render.SARIF(w, r, sampleRules)
		},
		"report.junit.xml": func(w io.Writer, r *validate.Report) error {
			return render.JUnit(w, r, sampleFiles, validate.Error)
		},
		"report.html": func(w io.Writer, r *validate.Report) error {
			made := time.Date(2026, 3, 2, 8, 30, 0, 0, time.UTC)
			return render.HTML(w, r, render.Page{Title: "Tickets of <Monday>", Made: made})
		},
	}
}

func written(t *testing.T, format string, r *validate.Report) string {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, writers()[format](&out, r))
	return out.String()
}

func TestGolden(t *testing.T) {
	for format := range writers() {
		t.Run(format, func(t *testing.T) { golden(t, format, written(t, format, sample(t))) })
	}
}

// reports are those that the machine-readable forms are held against their
// schemas with.
func reports(t *testing.T) map[string]*validate.Report {
	t.Helper()
	large := validate.NewReport(0)
	src := jdf.NewSource("a.jdf", longLine())
	for i := range 500 {
		large.Add(wrongType.At(jdf.PlaceAt(src, i, i+i%3, ""), validate.F("at", i)))
	}
	return map[string]*validate.Report{
		"sample": sample(t), "empty": validate.NewReport(0), "zero": {}, "large": large,
		"unread file": func() *validate.Report {
			r := validate.NewReport(0)
			r.Add(raw.At(jdf.PlaceAt(jdf.NewSource("large.jdf", ""), 0, 0, "")))
			return r
		}(),
	}
}

func compile(t *testing.T, text []byte) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	require.NoError(t, err)
	c := jsonschema.NewCompiler()
	require.NoError(t, c.AddResource("schema.json", doc))
	schema, err := c.Compile("schema.json")
	require.NoError(t, err)
	return schema
}

func conforms(t *testing.T, schema *jsonschema.Schema, text string) error {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(strings.NewReader(text))
	require.NoError(t, err)
	return schema.Validate(doc)
}

func TestJSONConformsToItsSchema(t *testing.T) {
	text, err := os.ReadFile("report.schema.json")
	require.NoError(t, err)
	schema := compile(t, text)
	for name, r := range reports(t) {
		require.NoError(t, conforms(t, schema, written(t, "report.json", r)), name)
	}
	good := written(t, "report.json", sample(t))
	for _, mutant := range [][2]string{
		{`"errors": 3`, `"errors": -1`}, {`"severity": "note"`, `"severity": "fatal"`},
		{`"mends": "plant"`, `"mends": "nobody"`}, {`"line": 5,`, `"line": 0,`}, {`"line": 5,`, ``},
		{`"version": 1`, `"version": 2`}, {`"findings"`, `"finding"`}, {`ref/unused`, `unused`},
	} {
		require.Contains(t, good, mutant[0])
		require.Error(t, conforms(t, schema, strings.Replace(good, mutant[0], mutant[1], 1)), "%v", mutant)
	}
}

// The module that the published SARIF schema is read out of, and its checksum.
const (
	sarifModule = "github.com/owenrumney/go-sarif/v3@v3.3.1"
	sarifSum    = "h1:bKY8YnWcY8zYTiGVObC5wZLlfEvMkCxK9XMGXBbzEtQ="
	sarifFile   = "pkg/report/v210/sarif/schema.go"
)

// publishedSARIF gets the schema of SARIF 2.1.0 from the module cache, where it
// is downloaded to once. Nothing of the module is compiled.
func publishedSARIF(t *testing.T) []byte {
	t.Helper()
	cmd := exec.Command("go", "mod", "download", "-json", sarifModule)
	cmd.Dir = t.TempDir()
	out, err := cmd.Output()
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatalf("download the SARIF schema: %v\n%s", err, out)
		}
		t.Skipf("the SARIF schema can not be downloaded (%v); the log is not held against it", err)
	}
	var module struct{ Dir, Sum string }
	require.NoError(t, json.Unmarshal(out, &module))
	require.Equal(t, sarifSum, module.Sum)
	file, err := parser.ParseFile(token.NewFileSet(), filepath.Join(module.Dir, sarifFile), nil, 0)
	require.NoError(t, err)
	var schema string
	ast.Inspect(file, func(n ast.Node) bool {
		if lit, ok := n.(*ast.BasicLit); ok && lit.Kind == token.STRING && len(lit.Value) > len(schema) {
			schema = lit.Value
		}
		return true
	})
	text, err := strconv.Unquote(schema)
	require.NoError(t, err)
	require.Greater(t, len(text), 100_000)
	return []byte(text)
}

// Source: the JSON schema of SARIF 2.1.0 Plus Errata 01, as published by OASIS.
func TestSARIFConformsToThePublishedSchema(t *testing.T) {
	schema := compile(t, publishedSARIF(t))
	for name, r := range reports(t) {
		require.NoError(t, conforms(t, schema, written(t, "report.sarif", r)), name)
	}
	good := written(t, "report.sarif", sample(t))
	for _, mutant := range [][2]string{
		{`"level": "error"`, `"level": "fatal"`}, {`"unicodeCodePoints"`, `"bytes"`},
		{`"startLine": 5`, `"startLine": 0`}, {`"version": "2.1.0"`, `"version": "2"`},
		{`"ruleIndex": 1`, `"ruleIndex": "1"`},
		{`"kind": "external"`, `"kind": "house"`}, {`"relatedLocations"`, `"otherLocations"`},
	} {
		require.Contains(t, good, mutant[0])
		require.Error(t, conforms(t, schema, strings.Replace(good, mutant[0], mutant[1], 1)), "%v", mutant)
	}
}

type sarifLog struct {
	Runs []struct {
		Tool struct {
			Driver struct {
				Rules []struct{ ID, HelpURI string }
			}
		}
		Results []struct {
			RuleID    string
			RuleIndex int
			Locations []struct {
				PhysicalLocation struct{ ArtifactLocation struct{ URI string } }
			}
			Suppressions []struct{ Kind string }
		}
	}
}

func sarif(t *testing.T, r *validate.Report, rules []*validate.Rule) sarifLog {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, render.SARIF(&out, r, rules))
	var log sarifLog
	require.NoError(t, json.Unmarshal(out.Bytes(), &log))
	return log
}

func TestSARIFListsAllRules(t *testing.T) {
	ids := func(log sarifLog) (ids []string) {
		for _, r := range log.Runs[0].Tool.Driver.Rules {
			require.Empty(t, r.HelpURI)
			ids = append(ids, r.ID)
		}
		return ids
	}
	all := []string{"xml/syntax", "schema/wrong-type", "ref/unused", "process/late-proof", "plant/sheet-too-large"}
	require.Equal(t, all, ids(sarif(t, validate.NewReport(0), sampleRules)))
	require.Equal(t, all, ids(sarif(t, sample(t), append(sampleRules[:5:5], sampleRules...))), "given twice")
	partial := sarif(t, sample(t), sampleRules[4:])
	require.ElementsMatch(t, all, ids(partial))
	require.Equal(t, "plant/sheet-too-large", ids(partial)[0])
	for _, result := range partial.Runs[0].Results {
		require.Equal(t, result.RuleID, ids(partial)[result.RuleIndex])
	}
}

func TestSARIFNamesFilesRelatively(t *testing.T) {
	dir, err := filepath.EvalSymlinks(t.TempDir())
	require.NoError(t, err)
	t.Chdir(dir)
	for name, want := range map[string]string{
		"a.jdf": "a.jdf", "./b/../a.jdf": "a.jdf", "../a.jdf": "../a.jdf", "b/grün 1%.jdf": "b/gr%C3%BCn%201%25.jdf",
		"a:b.jdf": "./a:b.jdf", "<stdin>": "%3Cstdin%3E",
		filepath.Join(dir, "b", "a#1?.jdf"):       "b/a%231%3F.jdf",
		filepath.Join(filepath.Dir(dir), "ö.jdf"): "file://" + filepath.ToSlash(filepath.Dir(dir)) + "/%C3%B6.jdf",
	} {
		r := validate.NewReport(0)
		r.Add(unused.At(jdf.PlaceAt(jdf.NewSource(name, "<a/>"), 0, 1, "")))
		got := sarif(t, r, nil).Runs[0].Results[0].Locations[0].PhysicalLocation.ArtifactLocation.URI
		require.Equal(t, want, got, name)
	}
}

func TestSARIFSuppressionsAreAllThereOrAllMissing(t *testing.T) {
	for name, r := range reports(t) {
		for _, result := range sarif(t, r, nil).Runs[0].Results {
			require.Equal(t, r.Silenced > 0, result.Suppressions != nil, name)
		}
	}
}

func TestSARIFTellsWhereASilenceStands(t *testing.T) {
	src := jdf.NewSource("a.jdf", "<?quoin ignore ref/unused reason='x'?><a/>")
	f := unused.At(jdf.PlaceAt(src, 38, 39, ""))
	f.Silenced = &validate.Silence{Reason: "x", Place: jdf.PlaceAt(src, 0, 38, "")}
	r := validate.NewReport(0)
	r.Add(f)
	require.Equal(t, "inSource", sarif(t, r, nil).Runs[0].Results[0].Suppressions[0].Kind)
}

type junit struct {
	Tests    int `xml:"tests,attr"`
	Failures int `xml:"failures,attr"`
	Skipped  int `xml:"skipped,attr"`
	Suites   []struct {
		Name     string `xml:"name,attr"`
		Tests    int    `xml:"tests,attr"`
		Failures int    `xml:"failures,attr"`
		Skipped  int    `xml:"skipped,attr"`
		Cases    []struct {
			Name    string    `xml:"name,attr"`
			Failure *struct{} `xml:"failure"`
			Skipped *struct{} `xml:"skipped"`
		} `xml:"testcase"`
	} `xml:"testsuite"`
}

func TestJUnitCountsWhatItHolds(t *testing.T) {
	for name, r := range reports(t) {
		for _, failOn := range []validate.Severity{validate.Note, validate.Warning, validate.Error} {
			var out bytes.Buffer
			require.NoError(t, render.JUnit(&out, r, sampleFiles, failOn))
			var got junit
			require.NoError(t, xml.Unmarshal(out.Bytes(), &got), name)
			tests, failures, skipped := 0, 0, 0
			for _, s := range got.Suites {
				f, k := 0, 0
				for _, c := range s.Cases {
					if c.Failure != nil {
						f++
					}
					if c.Skipped != nil {
						k++
					}
				}
				require.Equal(t, [3]int{len(s.Cases), f, k}, [3]int{s.Tests, s.Failures, s.Skipped}, s.Name)
				tests, failures, skipped = tests+s.Tests, failures+f, skipped+k
			}
			require.Equal(t, [3]int{tests, failures, skipped}, [3]int{got.Tests, got.Failures, got.Skipped}, name)
			require.Equal(t, r.Worst() >= failOn, failures > 0, "%s fails from %s on", name, failOn)
		}
	}
}

func TestJUnitHasASuiteForEachFile(t *testing.T) {
	var got junit
	require.NoError(t, xml.Unmarshal([]byte(written(t, "report.junit.xml", sample(t))), &got))
	require.Equal(t, sampleFiles[0], got.Suites[0].Name)
	require.Equal(t, sampleFiles[1], got.Suites[1].Name)
	require.Equal(t, "no findings", got.Suites[1].Cases[0].Name)
	require.Equal(t, `evil\x1b[2J.jdf`, got.Suites[2].Name)
	require.Equal(t, "quoin", got.Suites[3].Name, "findings in no file")
	require.Len(t, got.Suites, 4)
}

func TestJUnitFailsForWhatIsNotShown(t *testing.T) {
	r := validate.NewReport(1)
	r.Add(lateProof.At(jdf.Place{}))
	r.Add(wrongType.At(jdf.Place{}))
	var out bytes.Buffer
	require.NoError(t, render.JUnit(&out, r, nil, validate.Error))
	require.Contains(t, out.String(), `<failure message="1 finding counted but not shown"`)
}
