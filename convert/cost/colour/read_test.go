package colour

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/jdf/value"
	"quoin/testdata/standard"
)

// listed writes measurements without their place, sorted.
func listed(ms []Measurement) string {
	var lines []string
	for _, m := range ms {
		m.Source = Source{}
		text, err := json.Marshal(m)
		if err != nil {
			panic(err)
		}
		lines = append(lines, string(text))
	}
	slices.Sort(lines)
	return strings.Join(lines, "\n") + "\n"
}

// Tickets and messages of the two generations that say the same are read as
// the same.
func TestTwins(t *testing.T) {
	for _, twins := range [][2]string{{"run.xjdf", "run.jdf"}, {"signal.xjmf", "signal.jmf"}} {
		second, first := measured(t, twins[0]), measured(t, twins[1])
		require.NotEmpty(t, second)
		require.Equal(t, listed(second), listed(first), twins)
		for _, m := range append(second, first...) {
			require.Positive(t, m.Source.Line)
			require.Positive(t, m.Source.Column)
			require.NotEmpty(t, m.Source.Path)
		}
		golden(t, strings.TrimSuffix(twins[0], filepath.Ext(twins[0]))+".golden", listed(second))
	}
}

// Positions are those of the value in its attribute.
func TestPlaces(t *testing.T) {
	for _, m := range measured(t, "run.xjdf", "run.jdf", "signal.xjmf", "signal.jmf") {
		line := m.Source.Place.Source.Line(m.Source.Line)
		before := line[:m.Source.Column-1] // the files are ASCII
		attribute := map[Kind]string{
			CIELAB: `La`, Density: `Density="`, RegisterX: `Offset="`, RegisterY: `Offset="`, InkZone: `ZoneSettingsX="`,
		}[m.Kind]
		require.Contains(t, before, attribute, m.Source.Path)
		require.True(t, strings.HasSuffix(before, `="`), before)
	}
}

// Source: the published sample of QualityControlResult in JDF: an offset of 4
// and 2 points against Marvin, of sheets 4 to 2; the strip in
// QualityControlParams is what is wanted, and is not read.
func TestSample(t *testing.T) {
	doc, _, err := jdf.ReadFile(filepath.Join(standard.Dir(t), "jdf", "samples", "resources", "QualityControl.jdf"),
		jdf.Limits{})
	require.NoError(t, err)
	ms, found := Read(doc)
	require.Empty(t, found)
	require.Len(t, ms, 2)
	require.Equal(t, []any{"n_000138", "ID20", int64(4), RegisterX, "Marvin", Standard},
		[]any{ms[0].Job, ms[0].Part, ms[0].Sheet, ms[0].Kind, ms[0].Reference, ms[0].Usage})
	require.InDelta(t, 4*25.4/72, ms[0].Value, 1e-9)
	require.InDelta(t, 2*25.4/72, ms[1].Value, 1e-9)
}

// All samples of the standard are read without a finding.
func TestAllSamples(t *testing.T) {
	var files []string
	for _, generation := range []string{"jdf", "xjdf"} {
		found, err := filepath.Glob(filepath.Join(standard.Dir(t), generation, "samples", "*", "*.*j*f"))
		require.NoError(t, err)
		files = append(files, found...)
	}
	require.Greater(t, len(files), 200)
	for _, f := range files {
		doc, _, err := jdf.ReadFile(f, jdf.Limits{})
		require.NoError(t, err)
		_, found := Read(doc)
		require.Empty(t, messages(found), f)
	}
}

// quality wraps the inside of one QualityControlResult in an XJDF.
func quality(inside, attributes string) string {
	return `<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="J" JobPartID="P">` +
		`<ResourceSet Name="QualityControlResult"><Resource><Part SheetName="S" Side="Back"/>` +
		`<QualityControlResult ` + attributes + `>` + inside +
		`</QualityControlResult></Resource></ResourceSet></XJDF>`
}

func strip(fields string) string {
	return `<ColorMeasurement><ColorControlStrip>` + fields + `</ColorControlStrip></ColorMeasurement>`
}

func patch(attributes string, tints ...string) string {
	var text strings.Builder
	for i := 0; i < len(tints); i += 2 {
		fmt.Fprintf(&text, `<SeparationTint Name="%s" Tint="%s"/>`, tints[i], tints[i+1])
	}
	return `<Patch PatchUsage="Color" ` + attributes + `>` + text.String() + `</Patch>`
}

// What a field is of.
func TestFields(t *testing.T) {
	for text, want := range map[string]string{
		patch(`Density="1.4"`, "Cyan", "1"):                                            "Cyan 100 density 1.4",
		patch(`Density="0.5"`, "Cyan", "0.4"):                                          "Cyan 40 density 0.5",
		patch(`Density="0.5"`, "Cyan", "0.07"):                                         "Cyan 7 density 0.5",
		patch(`Density="0.07"`):                                                        "Paper 0 density 0.07",
		patch(`NeutralDensity="0.3"`, "Cyan", "1", "Yellow", "1"):                      "Cyan+Yellow 100 neutral density 0.3",
		patch(`Density="0.3"`, "Yellow", "1", "Cyan", "1"):                             "Cyan+Yellow 100 density 0.3",
		patch(`Density="0.3"`, "Yellow", "0.4", "Cyan", "0.5"):                         "Cyan 50+Yellow 40 -1 density 0.3",
		patch(`Density="0.3"`, "Yellow", "0", "Cyan", "0.5"):                           "Cyan 50 density 0.3",
		patch(`Density="0.3"`, "Yellow", "0"):                                          "Paper 0 density 0.3",
		`<Patch PatchUsage="Technical" Density="1"/>`:                                  "",
		`<Patch PatchUsage="Image" Lab="1 2 3"/>`:                                      "",
		`<DensityMeasuringField Separation="K" DotGain="0" Density="1"/>`:              "K 100 density 1",
		`<DensityMeasuringField Separation="magenta" DotGain="0" Density="1 2 3 4"/>`:  "magenta 100 density 2",
		`<DensityMeasuringField Separation="Gold" DotGain="0" Density="1 2 3 2"/>`:     "Gold 100 density 3",
		`<DensityMeasuringField Separation="Cyan" DotGain="0" Density="1 0 0 1 4 5"/>`: "Cyan 100 density 5",
		`<DensityMeasuringField Separation="Cyan" DotGain="15.5" Density="0.4"/>`: "Cyan -1 density 0.4|" +
			"Cyan -1 tone increase 15.5",
		`<CIELABMeasuringField CIELab="50 0 0" Percentages="0 0 0 0"/>`:  "Paper 0 lab 0",
		`<CIELABMeasuringField CIELab="50 0 0" Percentages="0 40 0 0"/>`: "Magenta 40 lab 0",
		`<CIELABMeasuringField CIELab="50 0 0"/>`:                        " -1 lab 0",
	} {
		ms, found := Read(document(t, "a.xjdf", quality(strip(text), "")))
		require.Empty(t, messages(found), text)
		var got []string
		for _, m := range ms {
			got = append(got, fmt.Sprintf("%s %s %s %s", m.Colorant, plain(m.Nominal), m.Kind, plain(m.Value)))
		}
		require.Equal(t, want, strings.Join(got, "|"), text)
	}
}

// What cannot be read is left out, and said.
func TestUnreadable(t *testing.T) {
	for _, c := range [][2]string{
		{patch(`Density="1,4"`, "Cyan", "1"),
			`Patch/@Density is "1,4"; want a number such as 1.45`},
		{patch(`Density="INF"`, "Cyan", "1"),
			`Patch/@Density is "INF"; want a number such as 1.45`},
		{patch(`Density="NaN"`, "Cyan", "1"),
			`Patch/@Density is "NaN"; want a number such as 1.45`},
		{patch(`Density="1e7"`, "Cyan", "1"),
			`Patch/@Density is "1e7"; want a number such as 1.45`},
		{patch(`Lab="1 2"`, "Cyan", "1"),
			`Patch/@Lab is "1 2"; want a colour such as 55 -37 -50`},
		{patch(`Density="1"`, "Cyan", "-0.1"),
			`SeparationTint/@Tint is "-0.1"; want a number from 0 to 1`},
		{patch(`Density="1"`, "Cyan", "101"),
			`SeparationTint/@Tint is "101"; want a number from 0 to 1`},
		{patch(`Density="1"`, "Cyan", "x"),
			`SeparationTint/@Tint is "x"; want a number such as 1.45`},
		{`<Patch PatchUsage="Color" Density="1"><SeparationTint Name="Cyan"/></Patch>`,
			`SeparationTint/@Tint is ""; want a number from 0 to 1`},
		{`<CIELABMeasuringField CIELab="1 2 3" Percentages="1 2"/>`,
			`CIELABMeasuringField/@Percentages is "1 2"; want as many numbers as the strip has separations, which is 0`},
		{`<CIELABMeasuringField CIELab="1 2 3" Percentages="1 2 3 400"/>`,
			`CIELABMeasuringField/@Percentages is "1 2 3 400"; want numbers from 0 to 100`},
		{`<DensityMeasuringField Separation="Cyan" Density="1 x"/>`,
			`DensityMeasuringField/@Density is "1 x"; want numbers with blanks between`},
		{`<DensityMeasuringField Separation="Cyan" Density="1" Percentage="-5"/>`,
			`DensityMeasuringField/@Percentage is "-5"; want a number from 0 to 100`},
		{`<Patch PatchUsage="Color" Lab="1 2 3" Center="5"/>`,
			`Patch/@Center is "5"; want two numbers in points such as 0.2 -0.1`},
		{`<ColorMeasurementConditions Observer="two"/>`,
			`ColorMeasurementConditions/@Observer is "two"; want a number of degrees such as 2`},
	} {
		_, found := Read(document(t, "a.xjdf", quality(strip(c[0]), "")))
		require.Len(t, found, 1, c[0])
		require.Equal(t, c[1], found[0].Message())
	}
	ms, found := Read(document(t, "a.xjdf", quality(strip(patch(`Density="0.5"`, "Cyan", "40")), `Sample="7"`)))
	require.Len(t, found, 2)
	require.Equal(t, `QualityControlResult/@Sample is "7"; want a range of sheets such as 500 500`, found[0].Message())
	require.Equal(t, "SeparationTint/@Tint is 40; it is taken as percent, and a fraction from 0 to 1 is what other "+
		"tickets write; have the writer give 0.4", found[1].Message()+"; "+found[1].Advice())
	require.Equal(t, 40.0, ms[0].Nominal)
	require.EqualValues(t, Unknown, ms[0].Sheet)
}

// The zone follows from where the field lies, also on a strip that is turned.
func TestZones(t *testing.T) {
	ticket := func(area, turn string) string {
		text := quality(`<ColorMeasurement><ColorControlStrip Center="300 20" Size="600 20" `+turn+`>`+
			patch(`Lab="1 2 3" Center="150 10"`)+`</ColorControlStrip></ColorMeasurement>`, "")
		return strings.Replace(text, "<ResourceSet", `<ResourceSet Name="InkZoneCalculationParams"><Resource>`+
			`<InkZoneCalculationParams ZoneWidth="100" `+area+`/></Resource></ResourceSet><ResourceSet`, 1)
	}
	for _, c := range []struct {
		area, turn string
		zone       int
		points     float64
	}{
		{"", "", 2, 150}, {`PrintableArea="60 0 700 500"`, "", 1, 150}, {"", `Rotation="180"`, 5, 450},
		{`PrintableArea="200 0 700 500"`, "", 0, 150},
	} {
		ms, found := Read(document(t, "a.xjdf", ticket(c.area, c.turn)))
		require.Empty(t, found)
		require.Equal(t, c.zone, ms[0].Zone, c)
		require.InDelta(t, value.Length(c.points).MM(), ms[0].Across, 0.001)
	}
}

// Two reports of one measurement have one key, wherever they stand.
func TestKey(t *testing.T) {
	one := measured(t, "run.xjdf")
	text, err := json.Marshal(one)
	require.NoError(t, err)
	var kept []Measurement
	require.NoError(t, json.Unmarshal(text, &kept))
	seen := map[string]bool{}
	for i := range one {
		require.Equal(t, one[i].Key(), kept[i].Key(), "it can be kept as JSON")
		require.Len(t, one[i].Key(), 32)
		require.False(t, seen[one[i].Key()], "different measurements have different keys")
		seen[one[i].Key()] = true
		kept[i].Source.File = "elsewhere"
		require.Equal(t, one[i].Key(), kept[i].Key())
		kept[i].Value++
		require.NotEqual(t, one[i].Key(), kept[i].Key())
	}
	require.Equal(t, one[0].Source.place().Pos().Line, kept[0].Source.place().Pos().Line)
	require.Equal(t, one[0].Source.place().Path(), kept[0].Source.place().Path())
}

func FuzzRead(f *testing.F) {
	for _, name := range []string{"signal.xjmf", "signal.jmf"} {
		f.Add(file(f, name).Source.Text)
	}
	f.Add(`<JDF ` + first + ` JobID="J"><ResourcePool><ColorControlStrip ID="S" Center="9 9" Size="9 9">` +
		`<QualityControlResult Sample="1 ~ 2" MeasurementUsage="Master"/><Patch Center="1 2" Lab="1 2 3" Density="1"/>` +
		`</ColorControlStrip>` +
		`<InkZoneProfile ZoneWidth="9" ZoneSettingsX="0.1 1"/></ResourcePool></JDF>`)
	f.Add(quality(strip(patch(`Density="1e400"`, "Cyan", "0.5")), `Sample="-1 5"`))
	c := aims(f)
	f.Fuzz(func(t *testing.T, text string) {
		doc, _, err := jdf.Read("a", strings.NewReader(text), jdf.Limits{})
		require.NoError(t, err)
		ms, found := Read(doc)
		for _, x := range found {
			require.NotContains(t, x.Message(), "{")
			require.True(t, x.Place.Known())
		}
		runs, _ := Judge(ms, c, nil)
		_, err = json.Marshal(runs)
		require.NoError(t, err, "no number is beyond what JSON has")
		_, err = json.Marshal(ms)
		require.NoError(t, err)
	})
}
