//go:build !checker

package render_test

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/validate"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// golden compares with a file of testdata, or rewrites it.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		require.Empty(t, os.Getenv("CI"), "golden files are not rewritten in CI")
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
		return
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err, "run the test with -update once")
	require.Equal(t, string(want), got)
}

var (
	wrongType = &validate.Rule{
		ID: "schema/wrong-type", Severity: validate.Error, Mends: validate.Sender,
		Say: "{at} is {value|q}; want {want}", Why: "The value is not of the data type that the schema gives.",
	}
	unused = &validate.Rule{
		ID: "ref/unused", Severity: validate.Warning, Mends: validate.Sender,
		Say: "nothing refers to {id|q}", Do: "link it, or leave it out", Why: "What nothing refers to is not used.",
	}
	tooLarge = &validate.Rule{
		ID: "plant/sheet-too-large", Severity: validate.Error, Mends: validate.Plant,
		Say: "the sheet is {got}; {press} takes at most {want}",
		Do: "choose a press of a larger format, or lay the work out on a smaller sheet; a sheet can not be " +
			"turned where the gripper edge is given, and cutting it down before printing needs the margin of both trims",
		Why: "A sheet has to pass between the side lays.",
	}
	lateProof = &validate.Rule{
		ID: "process/late-proof", Severity: validate.Note, Mends: validate.Operator,
		Say: "the proof is due {got}, after the run", Why: "A proof is looked at before the run.",
	}
	raw = &validate.Rule{
		ID: "xml/syntax", Severity: validate.Error, Mends: validate.Sender,
		Say: "found {got}; want {want}", Do: "write {got} as <b>text</b>", Why: "XML 1.0 & its rules.",
	}
	sampleRules = []*validate.Rule{raw, wrongType, unused, lateProof, tooLarge}
)

const ticket = `<?xml version="1.0" encoding="UTF-8"?>
<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="K-7"
      Types="Cutting" Version="2.1">
	<ResourceSet Name="Media">
		<Resource DescriptiveName="Grün 日本語 e` + "\u0301" + `" ID="M1"><Media Weight="schwer"/></Resource>
		<Resource ID="M2"/>
	</ResourceSet>
</XJDF>
`

func read(t *testing.T, name, text string) *jdf.Document {
	t.Helper()
	doc, faults, err := jdf.Read(name, strings.NewReader(text), jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults)
	return doc
}

// sample is a report with each kind of thing that a report can hold.
func sample(t *testing.T) *validate.Report {
	t.Helper()
	doc := read(t, "jobs/grün & co.xjdf", ticket)
	set := doc.Root().Child("ResourceSet")
	first := set.Child("Resource")
	second := first.NextContent()
	weight := first.Child("Media").Attr("Weight")
	rules := jdf.NewSource("quoin.yaml", "ignore:\n  - rule: ref/unused\n")
	plant := jdf.NewSource("plant.yaml", "sheet: 750 x 530 mm\r\n")
	silenced := unused.At(second.Attr("ID").Place(), validate.F("id", "M2"))
	silenced.Silenced = &validate.Silence{
		Reason: "the stock system writes spare stocks (until 2030-12-31)",
		Place:  jdf.PlaceAt(rules, 12, 28, "ignore 1"),
	}
	report := validate.NewReport(6)
	report.Files = 3
	report.Add(wrongType.At(weight.Place(), validate.F("at", "Media/@Weight"), validate.F("value", "schwer"),
		validate.F("want", "a number such as 300")).With(first.NamePlace(), "the resource is here"))
	report.Add(silenced)
	report.Add(tooLarge.At(doc.Root().NamePlace(), validate.F("got", "760 x 530 mm"),
		validate.F("press", "Offset B2"), validate.F("want", "750 x 530 mm")).
		With(jdf.PlaceAt(plant, 7, 19, "sheet"), "the limit is here"))
	report.Add(lateProof.At(jdf.Place{}, validate.F("got", "2026-03-02")))
	bad := "<a>\x1b]0;gotcha\x07\u202eabc\u009b2J</a>"
	report.Add(raw.At(jdf.PlaceAt(jdf.NewSource("evil\x1b[2J.jdf", bad), 3, 4, "/a\x1b"),
		validate.F("got", "\x1b]0;gotcha\x07\u202eabc\u009b2J\n[here](http://plant.example)"),
		validate.F("want", "text")))
	report.Add(unused.At(first.Attr("ID").Place(), validate.F("id", "M1")))
	report.Add(unused.At(first.NamePlace(), validate.F("id", "none")))
	report.Finish()
	return report
}
