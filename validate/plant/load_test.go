package plant

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/validate"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// demo is the invented works that the project's examples run on.
const demo = "../../testdata/plant/saltmarsh.yaml"

func loadDemo(t testing.TB) *Plant {
	t.Helper()
	p, findings, err := LoadFile(demo)
	require.NoError(t, err)
	require.Empty(t, lines(findings))
	return p
}

func small(t testing.TB) string {
	t.Helper()
	text, err := os.ReadFile("testdata/small.yaml")
	require.NoError(t, err)
	return string(text)
}

// lines writes findings as they stand in golden files.
func lines(findings []validate.Finding) string {
	var out strings.Builder
	for _, f := range findings {
		at := f.Place.Pos()
		fmt.Fprintf(&out, "%s %d:%d %s\n", f.Rule.ID, at.Line, at.Column, f.Message())
		if advice := f.Advice(); advice != "" {
			fmt.Fprintf(&out, "    %s\n", advice)
		}
	}
	return out.String()
}

// golden compares with a golden file, or rewrites it.
func golden(t *testing.T, file, got string) {
	t.Helper()
	if *update {
		require.Empty(t, os.Getenv("CI"), "golden files are not rewritten in CI")
		require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, string(want), got)
}

func TestDemoPlant(t *testing.T) {
	p := loadDemo(t)
	require.Equal(t, "Saltmarsh Print Works", p.Name)
	require.Len(t, p.pressesOf(Offset), 2)
	require.Len(t, p.pressesOf(Digital), 1)
	require.Len(t, p.Guillotines, 1)
	require.Len(t, p.Folders, 1)
	require.Len(t, p.Stitchers, 1)
	require.Len(t, p.Binders, 1)
	require.GreaterOrEqual(t, len(p.Stocks), 8)

	b2, b1 := p.Presses[0], p.Presses[1]
	require.Equal(t, 4, b2.Units)
	require.Empty(t, b2.Coatings)
	require.NotNil(t, b2.Perfecting)
	require.Equal(t, 5, b1.Units)
	require.Equal(t, []string{"aqueous", "UV"}, b1.Coatings)
	require.Equal(t, []string{"IR", "UV"}, b1.Dryers)
	require.Nil(t, b1.Perfecting)
	require.Equal(t, "152", b1.CostCentre.Run.String())
	require.Equal(t, Size{750 * Millimetre, 530 * Millimetre}, b2.MaxSheet)
	for _, s := range p.Stocks {
		require.True(t, s.Grammage >= 90 && s.Grammage <= 400, s.ID)
		require.True(t, s.Price.IsPositive(), s.ID)
	}
	pages := map[int]bool{}
	for _, f := range p.Folders[0].Catalog {
		pages[f.Pages()] = true
	}
	require.Equal(t, map[int]bool{4: true, 6: true, 8: true, 16: true}, pages)
}

// The steps of running waste at both sides of each edge.
// Common practice, no source; the two ends follow figures published in a trade journal in 1996.
func TestDemoWasteSteps(t *testing.T) {
	table := loadDemo(t).Presses[0].Setup.Running
	for quantity, want := range map[int64]string{
		1: "5", 1000: "5", 1001: "3.7", 2500: "3.7", 2501: "3.2", 5000: "3.2", 5001: "3",
		10000: "3", 10001: "2.8", 25000: "2.8", 25001: "2.6", 900000: "2.6",
	} {
		require.Equal(t, want, Look(table, decimal.NewFromInt(quantity)).String(), quantity)
	}
}

// The sizes that the demo buys are those of ISO 217 or common press sheets.
// Source: ISO 217 RA and SRA sizes, as in the media names of PWG 5101.1; the others are common practice.
func TestDemoStockSizes(t *testing.T) {
	known := map[string]bool{
		"640 x 900 mm": true, "320 x 450 mm": true, // SRA1, SRA3
		"500 x 700 mm": true, "720 x 1020 mm": true, // common practice
	}
	for _, s := range loadDemo(t).Stocks {
		require.True(t, known[s.Size.String()], "%s is %s", s.ID, s.Size)
	}
}

func TestMarks(t *testing.T) {
	p := loadDemo(t)
	at := p.Presses[0].At("max sheet")
	require.Equal(t, `presses[1] "offset-b2" / max sheet`, at.Path())
	require.Equal(t, "750 x 530 mm", p.Source.Text[at.Start:at.End])
	inner := p.Presses[0].At("perfecting / grammage")
	require.Equal(t, "70 - 200 g/m2", p.Source.Text[inner.Start:inner.End])
	require.Equal(t, p.Presses[0].Entry, p.Presses[0].At("no such key"))
	fold := p.Folders[0].Catalog[4].At("grammage")
	require.Equal(t, `folders[1] "folder-1" / folds[5] "F16-6" / grammage`, fold.Path())
}

func TestBadFiles(t *testing.T) {
	files, err := filepath.Glob("testdata/bad/*.yaml")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(files), 9)
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			src, err := os.ReadFile(file)
			require.NoError(t, err)
			_, findings := Load(filepath.Base(file), src)
			require.NotEmpty(t, findings)
			golden(t, strings.TrimSuffix(file, ".yaml")+".golden", lines(findings))
		})
	}
}

func TestUnreadableFile(t *testing.T) {
	_, _, err := LoadFile("testdata/nothing-here.yaml")
	require.ErrorIs(t, err, os.ErrNotExist)
	require.ErrorContains(t, err, `read plant file "testdata/nothing-here.yaml"`)

	large := filepath.Join(t.TempDir(), "large.yaml")
	require.NoError(t, os.WriteFile(large, bytes.Repeat([]byte("#\n"), MaxFile/2+1), 0o644))
	_, _, err = LoadFile(large)
	require.ErrorContains(t, err, "over 4 MB")
}

// A byte order mark, and line ends of all sorts, do not move positions.
func TestPositions(t *testing.T) {
	for _, end := range []string{"\n", "\r\n", "\r"} {
		text := "\ufeff" + strings.ReplaceAll("# ü 日本\nname: W\ncolours: x\n", "\n", end)
		_, findings := Load("p.yaml", []byte(text))
		var at []string
		for _, f := range findings {
			if f.Rule == unknownKey {
				at = append(at, fmt.Sprint(f.Place.Pos().Line, ":", f.Place.Pos().Column))
			}
		}
		require.Equal(t, []string{"3:1"}, at, "%q", end)
	}
}

// A plant with mistakes still has what could be read.
func TestPartialPlant(t *testing.T) {
	text := strings.Replace(small(t), "units: 4", "units: four", 1)
	p, findings := Load("p.yaml", []byte(text))
	require.Len(t, findings, 1)
	require.Equal(t, "press-1", p.Presses[0].ID)
	require.Equal(t, 0, p.Presses[0].Units)
	require.Equal(t, 4, p.Presses[1].Units)
	require.Len(t, p.Stocks, 1)
}

func TestLaterSetup(t *testing.T) {
	p, findings := Load("p.yaml", []byte(small(t)))
	require.Empty(t, lines(findings))
	require.Equal(t, "100", p.Presses[0].Setup.Later.String(), "all of the setup waste when not given")
	require.Equal(t, "60", loadDemo(t).Presses[0].Setup.Later.String())
}

func TestAliases(t *testing.T) {
	text := strings.Replace(small(t), "speed: 3000 sheets/h", "speed: *table", 1)
	text = strings.Replace(text, "    speed:\n      up to 80", "    speed: &table\n      up to 80", 1)
	p, findings := Load("p.yaml", []byte(text))
	require.Empty(t, lines(findings))
	require.Equal(t, p.Presses[0].Speed, p.Presses[1].Speed)
}

// Aliases that multiply are stopped, and said so once.
func TestAliasesMultiply(t *testing.T) {
	var text strings.Builder
	text.WriteString("folders:\n  - id: first\n    folds: &folds\n")
	for i := range 200 {
		fmt.Fprintf(&text, "      - {code: F4-%d, columns: 2, rows: 1, folds: 1}\n", i)
	}
	for i := range 100 {
		fmt.Fprintf(&text, "  - {id: folder-%d, folds: *folds}\n", i)
	}
	_, findings := Load("p.yaml", []byte(text.String()))
	count := 0
	for _, f := range findings {
		if f.Rule == fileAlias {
			count++
		}
	}
	require.Equal(t, 1, count)
}

// A file of nothing but mistakes is not read to its end.
func TestManyMistakes(t *testing.T) {
	_, findings := Load("p.yaml", []byte("presses:\n"+strings.Repeat("  - {id: a}\n", 50_000)))
	require.Len(t, findings, maxFindings)
}

func TestKeysAreDocumented(t *testing.T) {
	keys := Keys()
	require.Greater(t, len(keys), 100)
	seen := map[string]bool{}
	for _, k := range keys {
		name := k.Entry + " / " + k.Name
		require.False(t, seen[name], name)
		seen[name] = true
		require.NotEmpty(t, k.Doc, name)
		require.NotEmpty(t, k.Form, name)
		require.Equal(t, strings.TrimSpace(strings.ToLower(k.Name)), k.Name, "keys are plain lower-case words")
	}
}

func FuzzLoad(f *testing.F) {
	f.Add([]byte(small(f)))
	for _, text := range []string{
		"", "a", "- - - -", "name: &a [*a]", "? {a: b}\n: c", "<<: {a: b}", "name: \"\\u0085\"\n\u2028x: 1",
		"presses: [{id: &x a, speed: {up to 1 g/m2: 1 sheets/h, above: *x}}]", "%YAML 9.9\n---\n", "name: !!binary x",
	} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		p, findings := Load("fuzz.yaml", src)
		if p == nil && len(findings) == 0 {
			t.Fatal("neither a plant nor a finding")
		}
		for _, finding := range findings {
			if m := finding.Message(); m == "" || strings.Contains(m, "{path") {
				t.Fatalf("message %q lacks a fact", m)
			}
			if finding.Place.Start > finding.Place.End || finding.Place.End > len(finding.Place.Source.Text) {
				t.Fatalf("place %d to %d is outside the file", finding.Place.Start, finding.Place.End)
			}
		}
	})
}

func BenchmarkLoad(b *testing.B) {
	src, err := os.ReadFile(demo)
	require.NoError(b, err)
	b.SetBytes(int64(len(src)))
	for b.Loop() {
		if _, findings := Load(demo, src); len(findings) != 0 {
			b.Fatal(lines(findings))
		}
	}
}
