package house_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/house"
)

var (
	unused = rule("ref/unused", validate.Error, "nothing refers to {id|q}")
	noID   = rule("ref/missing-id", validate.Warning, "{at} is missing")
	syntax = rule("xml/syntax", validate.Error, "found {got}")
)

func rule(id string, s validate.Severity, say string) *validate.Rule {
	return &validate.Rule{ID: id, Severity: s, Mends: validate.Sender, Say: say}
}

const ticket = `<?xml version="1.0"?>
<?quoin ignore ref/missing-id reason="the root has none"?>
<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="J">
  <?quoin ignore ref/unused reason='spare "stock"'?>
  <!-- a comment between -->
  <ResourceSet Name="Media"><Resource ID="in"/></ResourceSet>
  <ResourceSet Name="Ink"/>
</XJDF>
`

func read(t *testing.T, name, text string) *jdf.Document {
	t.Helper()
	doc, faults, err := jdf.Read(name, strings.NewReader(text), jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults)
	return doc
}

// everywhere is a report with findings of two rules on each element and attribute.
func everywhere(docs ...*jdf.Document) *validate.Report {
	r := validate.NewReport(0)
	for _, doc := range docs {
		r.Files++
		for n := range doc.Elements() {
			r.Add(unused.At(n.NamePlace(), validate.F("id", n.Index())))
			r.Add(noID.At(n.NamePlace(), validate.F("at", n.Index())))
			for _, name := range []string{"Name", "ID"} {
				if a := n.Attr(name); a.Valid() {
					r.Add(unused.At(a.Place(), validate.F("id", a.Value())))
				}
			}
		}
	}
	r.Finish()
	return r
}

func silenced(r *validate.Report) []string {
	var got []string
	for _, f := range r.Findings {
		if f.Silenced != nil {
			got = append(got, fmt.Sprintf("%s %s %s", f.Rule.ID, f.Place.Path(), f.Silenced.Reason))
		}
	}
	return got
}

func TestInstructionSilencesTheElementThatFollows(t *testing.T) {
	r := everywhere(read(t, "a.xjdf", ticket))
	total := len(r.Findings)
	house.Apply(r, house.Settings{Known: known, Instructions: true})
	require.Equal(t, []string{
		"ref/missing-id /XJDF the root has none",
		`ref/unused /XJDF/ResourceSet[1] spare "stock"`,
		`ref/unused /XJDF/ResourceSet[1]/@Name spare "stock"`,
	}, silenced(r))
	require.Equal(t, 3, r.Silenced)
	require.Len(t, r.Findings, total, "none is hidden")
	require.Equal(t, total, r.Silenced+r.Count(validate.Error)+r.Count(validate.Warning))
	var at jdf.Pos
	for _, f := range r.Findings {
		if f.Silenced != nil {
			at = f.Silenced.Place.Pos()
			break
		}
	}
	require.Equal(t, 2, at.Line)

	r = everywhere(read(t, "a.xjdf", ticket))
	house.Apply(r, house.Settings{Known: known})
	require.Empty(t, silenced(r), "instructions are not taken unasked")
}

func TestInstructionsStayInTheirDocument(t *testing.T) {
	r := everywhere(read(t, "a.xjdf", ticket), read(t, "b.xjdf", "<a><b/><c Name='x'/><d/></a>"))
	house.Apply(r, house.Settings{Known: known, Instructions: true})
	require.Equal(t, 3, r.Silenced)
	for _, f := range r.Findings {
		require.True(t, f.Silenced == nil || f.Place.File() == "a.xjdf")
	}
}

func TestInstructionsThatAreNotUnderstood(t *testing.T) {
	doc := read(t, "a.xjdf", `<a>
<?quoin ignore ref/unsed reason="x"?>
<?quoin ignore ref/unused?>
<?quoin ignore ref/unused reason=" "?>
<?quoin ignore xml/syntax reason="x"?>
<?quoin skip ref/unused reason="x"?>
<?quoin?>
<?quoins ignore ref/unused?>
<?other ignore?>
<b/>
<?quoin ignore ref/unused reason="x"?>
</a>
<?quoin ignore ref/unused reason="x"?>
`)
	stage := house.Stage(known)
	require.Equal(t, "house/instruction", stage.Rules[0].ID)
	var got [][4]string
	require.NoError(t, stage.Check(&validate.Subject{Doc: doc}, func(f validate.Finding) {
		instruction, problem, ok := strings.Cut(strings.TrimPrefix(f.Message(), "the instruction "), " silences nothing: ")
		require.True(t, ok, f.Message())
		got = append(got, [4]string{strconv.Itoa(f.Place.Pos().Line), instruction, problem, f.Advice()})
	}))
	const write, before = `write <?quoin ignore RULE-ID reason="why"?>`, "put it in front of the element"
	require.Equal(t, [][4]string{
		{"2", `"ignore ref/unsed reason=\"x\""`, "there is no such rule", "write ref/unused"},
		{"3", `"ignore ref/unused"`, "it is malformed", write},
		{"4", `"ignore ref/unused reason=\" \""`, "it gives no reason", write},
		{"5", `"ignore xml/syntax reason=\"x\""`, "this rule can not be silenced",
			"take the instruction out, and mend the file"},
		{"6", `"skip ref/unused reason=\"x\""`, "it is malformed", write},
		{"7", `""`, "it is malformed", write},
		{"11", `"ignore ref/unused reason=\"x\""`, "no element follows it", before},
		{"13", `"ignore ref/unused reason=\"x\""`, "no element follows it", before},
	}, got)
	r := everywhere(doc)
	house.Apply(r, house.Settings{Known: known, Instructions: true})
	require.Zero(t, r.Silenced)
}

// Many instructions in front of one element, and many elements, take time in
// step with their number.
func TestManyInstructions(t *testing.T) {
	const n = 20_000
	one := `<?quoin ignore ref/unused reason="x"?>`
	doc := read(t, "a.xjdf", "<a>"+strings.Repeat(one, n)+strings.Repeat("<b/>", n)+"</a>")
	r := everywhere(doc)
	began := time.Now()
	house.Apply(r, house.Settings{Known: known, Instructions: true})
	require.Less(t, time.Since(began), 10*time.Second)
	require.Equal(t, 1, r.Silenced)
}

func decode(t *testing.T, text string) *house.File {
	t.Helper()
	file, findings := house.Decode("quoin.yaml", []byte(text), known)
	require.Empty(t, findings)
	return file
}

func TestSilenceEndsWithItsDay(t *testing.T) {
	file := decode(t, "ignore:\n  - {rule: ref/unused, reason: spare, until: 2026-12-31}\n")
	east := time.FixedZone("east", 13*3600)
	for _, c := range []struct {
		now   time.Time
		holds bool
	}{
		{time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC), true},
		{time.Date(2026, 12, 31, 23, 59, 59, 0, time.UTC), true},
		{time.Date(2027, 1, 1, 0, 0, 0, 0, time.UTC), false},
		{time.Date(2026, 12, 31, 23, 0, 0, 0, east), true},
		{time.Date(2027, 1, 1, 0, 30, 0, 0, east), false}, // still the old year in UTC
	} {
		r := everywhere(read(t, "a.xjdf", "<a ID='x'/>"))
		house.Apply(r, house.Settings{File: file, Now: c.now})
		house.Apply(r, house.Settings{File: file, Now: c.now})
		if c.holds {
			require.Equal(t, []string{
				"ref/unused /a spare (until 2026-12-31)", "ref/unused /a/@ID spare (until 2026-12-31)",
			}, silenced(r), c.now)
			require.Zero(t, r.Count(validate.Note))
			continue
		}
		require.Empty(t, silenced(r))
		require.Equal(t, 1, r.Count(validate.Note), "%s: one note, however often it is applied", c.now)
		note := r.Findings[len(r.Findings)-1]
		require.Equal(t, "the silence of ref/unused ended on 2026-12-31; its findings count again", note.Message())
		require.Equal(t, jdf.Pos{Offset: 19, Line: 2, Column: 12}, note.Place.Pos())
	}
}

func TestSeverityIsWeighedAnew(t *testing.T) {
	r := everywhere(read(t, "a.xjdf", "<a/>"))
	r.Add(syntax.At(jdf.Place{}, validate.F("got", "x")))
	house.Apply(r, house.Settings{File: decode(t, "severity: {ref/unused: note, ref/missing-id: error}")})
	require.Equal(t, [3]int{1, 0, 2}, [3]int{r.Count(validate.Note), r.Count(validate.Warning), r.Count(validate.Error)})
	require.Equal(t, validate.Error, unused.Severity, "the rule itself stays")
}

// A judge in front of a capped report counts right what is not kept.
func TestJudgeBeforeTheCap(t *testing.T) {
	doc := read(t, "a.xjdf", "<a>"+strings.Repeat("<b/>", 50)+"</a>")
	s := house.Settings{File: decode(t, "ignore: [{rule: ref/unused, reason: spare, until: 2030-01-01}]")}
	judge := s.Judge(doc)
	r := validate.NewReport(10)
	for n := range doc.Elements() {
		r.Add(judge(unused.At(n.NamePlace(), validate.F("id", n.Index()))))
	}
	require.Equal(t, 51, r.Silenced)
	require.Zero(t, r.Worst())
	require.Equal(t, 41, r.Left)
	house.Apply(r, s)
	require.Equal(t, 51, r.Silenced)
}

func TestRepetitionsAreCountedOnce(t *testing.T) {
	doc := read(t, "a.xjdf", "<a/>")
	r := validate.NewReport(0)
	for range 3 {
		r.Add(unused.At(doc.Root().NamePlace(), validate.F("id", "x")))
	}
	house.Apply(r, house.Settings{
		File: decode(t, "ignore: [{rule: ref/unused, reason: spare, until: 2030-01-01}]"),
	})
	require.Len(t, r.Findings, 1)
	require.Equal(t, 1, r.Silenced)
	require.Zero(t, r.Worst())
}

func TestStageRunsInTheEngine(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.jdf")
	require.NoError(t, os.WriteFile(path, []byte("<?quoin nonsense?><JDF/>"), 0o644))
	engine := validate.Engine{Stages: []validate.Stage{house.Stage(known)}}
	r, err := engine.Files(context.Background(), []string{path})
	require.NoError(t, err)
	require.Equal(t, 1, r.Count(validate.Warning))
}
