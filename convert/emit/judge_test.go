package emit

import (
	"bytes"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/convert/plan"
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/value"
	"quoin/testdata/standard"
	"quoin/validate"
	"quoin/validate/plant"
	"quoin/validate/rules"
	"quoin/validate/structure"
	"quoin/validate/xsd"
)

// both are the forms that every check goes over.
var both = []Form{XJDF, JDF}

func in(form Form) Options {
	opt := noon
	opt.As = form
	return opt
}

// read takes a ticket back as any other would be read.
func read(t testing.TB, k Ticket) *jdf.Document {
	t.Helper()
	text, err := k.Doc.WriteToString()
	require.NoError(t, err)
	doc, faults, err := jdf.Read(k.Name, strings.NewReader(text), jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults, k.Name)
	return doc
}

// quiet holds tickets against what Quoin checks: the dictionary of the standard,
// the rules, and the machines of the plant.
func quiet(t *testing.T, works *plant.Plant, pl *plan.Plan, j *job.Job, name string) {
	t.Helper()
	engine := &validate.Engine{Stages: []validate.Stage{
		{Name: "structure", Rules: structure.Rules(),
			Check: func(s *validate.Subject, report func(validate.Finding)) error {
				structure.Check(s.Doc, structure.Options{}, report)
				return nil
			}},
		rules.Stage(),
		{Name: "plant", Rules: plant.Rules(),
			Check: func(s *validate.Subject, report func(validate.Finding)) error {
				plant.Check(s.Job, works, report)
				return nil
			}},
	}}
	for _, form := range both {
		opt := in(form)
		opt.Times = times(pl)
		for _, k := range Tickets(pl, j, opt) {
			doc := read(t, k)
			require.Empty(t, job.Decode(doc).Faults, "%s: %s", name, k.Name)
			report, err := engine.Document(doc)
			require.NoError(t, err)
			for _, f := range report.Findings {
				if !allowed(f, pl) {
					t.Errorf("%s: %s: %s %v %s", name, k.Name, f.Rule.ID, f.Place.Pos(), f.Message())
				}
			}
		}
	}
}

// allowed tells of findings that are true of what is planned and no fault of the
// ticket. The press sheets that come of a bought sheet are all alike, so that no
// component is named after each of their blocks. A plan may print more colours
// than a press has units, in several passes. And it may fold against the grain
// where that is cheapest, and says so itself.
func allowed(f validate.Finding, pl *plan.Plan) bool {
	switch f.Rule.ID {
	case "process/block-unused", "plant/more-passes":
		return f.Severity == validate.Note
	case "plant/fold-against-grain":
		return slices.ContainsFunc(pl.Notes, func(n string) bool { return strings.Contains(n, "grain") })
	}
	return false
}

func TestSilent(t *testing.T) {
	works := saltmarsh(t)
	for _, c := range cases {
		pl, _ := emitted(t, c.job)
		quiet(t, works, pl, c.job, c.name)
	}
}

// TestSweep does the same over formats, runs and papers of all sorts.
func TestSweep(t *testing.T) {
	works := saltmarsh(t)
	changes := map[string]func(*job.Product){
		"plain": func(*job.Product) {},
		"UV":    func(p *job.Product) { p.Front.Coatings = fact([]string{"UV"}) },
		"fold":  func(p *job.Product) { p.Fold = fact("F6-1") },
		"book":  func(p *job.Product) { p.Binding.Type, p.Pages = fact("SaddleStitch"), fact(24) },
		"spot":  func(p *job.Product) { p.Back.Colors = fact([]string{"Cyan", "Magenta", "Yellow", "Black", "Gold"}) },
	}
	planned := 0
	for _, size := range []value.Shape{shape(55, 85), shape(210, 297), shape(420, 594)} {
		for _, copies := range []int64{50, 20_000} {
			for _, weight := range []float64{90, 135, 350} {
				for _, name := range slices.Sorted(maps.Keys(changes)) {
					j := product(func(p *job.Product) {
						p.Size, p.Media.Weight, p.Amount.Good = fact(size), fact(weight), fact(decimal.NewFromInt(copies))
						changes[name](p)
					})
					pl, _ := plan.Make(j, works, plan.Options{})
					if pl == nil {
						continue // the plant can not make it
					}
					planned++
					quiet(t, works, pl, j, fmt.Sprintf("%s, %v points, %d copies, %v g/m2", name, size, copies, weight))
				}
			}
		}
	}
	require.Greater(t, planned, 20)
}

// TestXSD holds the trees against the published schema by the built-in engine.
// Source: the published XML schemas of the standard.
func TestXSD(t *testing.T) {
	if !xsd.BuiltIn() {
		require.Empty(t, os.Getenv("CI"), "CI builds with the tag libxml2")
		t.Skip("this build has no XSD engine; build with the tag libxml2 to hold tickets against the published schemas")
	}
	dir := standard.Dir(t)
	for form, path := range map[Form]string{
		XJDF: filepath.Join(dir, "xjdf", "xjdf.xsd"), JDF: filepath.Join(dir, "jdf", "JDF.xsd"),
	} {
		schema, err := xsd.Compile(path)
		require.NoError(t, err)
		for _, c := range cases {
			pl, _ := emitted(t, c.job)
			for _, k := range Tickets(pl, c.job, in(form)) {
				require.NoError(t, schema.Check(read(t, k), func(f validate.Finding) {
					t.Errorf("%s: %s: %s", c.name, k.Name, f.Message())
				}))
			}
		}
	}
}

// TestTreeAgainstXMLLint holds the trees against the published JDF schema.
// Source: the published JDF 1.x schema, read by libxml2, which refuses it as it
// stands for an escape that XML Schema does not know.
func TestTreeAgainstXMLLint(t *testing.T) {
	from := filepath.Join(standard.Dir(t), "jdf")
	tool, err := exec.LookPath("xmllint")
	if err != nil {
		require.Empty(t, os.Getenv("CI"), "xmllint is not installed; CI needs it")
		t.Skip("xmllint is not installed; install libxml2-utils to hold tickets against the published schema")
	}
	schema, dir := t.TempDir(), t.TempDir()
	published, err := filepath.Glob(filepath.Join(from, "*.xsd"))
	require.NoError(t, err)
	require.Len(t, published, 8)
	for _, path := range published {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		text = bytes.ReplaceAll(text, []byte(`\~`), []byte(`~`))
		require.NoError(t, os.WriteFile(filepath.Join(schema, filepath.Base(path)), text, 0o600))
	}
	args := []string{"--noout", "--schema", filepath.Join(schema, "JDF.xsd")}
	for i, c := range cases {
		pl, _ := emitted(t, c.job)
		opt := in(JDF)
		opt.Times = times(pl)
		k := Tickets(pl, c.job, opt)[0]
		path := filepath.Join(dir, whole(i)+".jdf")
		require.NoError(t, k.Doc.WriteToFile(path))
		args = append(args, path)
	}
	out, err := exec.Command(tool, args...).CombinedOutput()
	require.NoError(t, err, "%s", out)
	require.Equal(t, len(cases), strings.Count(string(out), " validates"))
}
