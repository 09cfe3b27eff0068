package plant

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// gaps are changes to the demo plant: fires makes one rule fire, and near comes
// as close to it as can be without.
var gaps = []struct {
	rule        string
	fires, near [][2]string
}{
	{"unused-cost-centre", edits("cost centre: binding", "cost centre: stitching"),
		edits("cost centre: binding", "cost centre: binding ")},
	{"unfed-machine",
		edits("grammage: 150 - 600 g/m2\n    caliper: 0.12 - 1 mm", "grammage: 401 - 600 g/m2\n    caliper: 0.12 - 1 mm",
			"up to 300 g/m2: 5000 sheets/h", "up to 500 g/m2: 5000 sheets/h"),
		edits("grammage: 150 - 600 g/m2\n    caliper: 0.12 - 1 mm", "grammage: 400 - 600 g/m2\n    caliper: 0.12 - 1 mm",
			"up to 300 g/m2: 5000 sheets/h", "up to 500 g/m2: 5000 sheets/h")},
	{"unfed-machine", edits("min width: 297 mm\n    max width: 740 mm", "min width: 1021 mm\n    max width: 1200 mm"),
		edits("min width: 297 mm\n    max width: 740 mm", "min width: 1020 mm\n    max width: 1200 mm")},
	{"no-stock-as-bought", edits("max sheet: 330 x 487 mm", "max sheet: 330 x 449 mm"),
		edits("max sheet: 330 x 487 mm", "max sheet: 330 x 450 mm")},
	{"unused-stock", edits("caliper: 560 um", "caliper: 651 um"), edits("caliper: 560 um", "caliper: 650 um")},
	{"stock-not-cut", edits("size: 640 x 900 mm\n    grammage: 250", "size: 800 x 1151 mm\n    grammage: 250"),
		edits("size: 640 x 900 mm\n    grammage: 250", "size: 800 x 1150 mm\n    grammage: 250")},
	{"range-outside", edits("grammage: 70 - 200 g/m2  #", "grammage: 59 - 200 g/m2  #"),
		edits("grammage: 70 - 200 g/m2  #", "grammage: 60 - 350 g/m2  #")},
	{"range-outside", edits("grammage: 60 - 150 g/m2", "grammage: 60 - 251 g/m2"),
		edits("grammage: 60 - 150 g/m2", "grammage: 60 - 250 g/m2")},
	{"dead-step", edits("up to 300 g/m2: 13000", "up to 450 g/m2: 13000"),
		edits("up to 300 g/m2: 13000", "up to 449 g/m2: 13000")},
	{"dead-step", edits("up to 69 g/m2: 7000", "up to 59 g/m2: 7000"),
		edits("up to 69 g/m2: 7000", "up to 60 g/m2: 7000")},
	{"no-coating-price", edits("kind: UV\n", "kind: varnish\n"),
		edits("kind: UV\n", "kind: varnish\n",
			"coating film: 5.0 g/m2", "coating film: 5.0 g/m2\n    coating price: 7 EUR/kg")},
	{"uv-without-lamps", edits("dryers: [IR, UV]", "dryers: [IR]"), edits("dryers: [IR, UV]", "dryers: [UV]")},
	{"two-makereadies", edits("{name: feeder, time: 5 min}", "{name: feeder, time: 301 s}"),
		edits("{name: ink keys, time: 4 min}", "{name: ink keys, time: 5 min}")},
	{"two-makereadies", edits("    makeready: 15 min", "    makeready: 14 min"),
		edits("    makeready: 15 min", "    makeready: 14 min", "{name: feeder, time: 6 min}",
			"{name: feeder, time: 6 min, per unit: yes}")},
	{"no-shifts", edits("    shifts:\n      - {days: Mon - Fri, from: 08:00, to: 18:00}\n", ""),
		edits("from: 08:00, to: 18:00", "from: 08:00, to: 08:01")},
	{"no-time-zone", edits("time zone: Europe/Berlin\n", ""), edits("time zone: Europe/Berlin", "time zone: UTC")},
	{"no-film-weight", edits("film: {none: 1.9 g/m2, ", "film: {"), edits(", matt: 1.6 g/m2}", "}")},
	{"order-not-packs", edits("minimum order: 500 sheets", "minimum order: 501 sheets"),
		edits("minimum order: 500 sheets", "minimum order: 100 sheets")},
	{"ink-zones-of-no-press", edits("press: offset-b2, width", "press: offset-b3, width"),
		edits("press: offset-b2, width", "press: offset-b2 , width")},
	{"no-colour-aims", edits("stock: [gloss, silk, matt]", "stock: [gloss, matt]"),
		edits("stock: [gloss, silk, matt]", "stock: [matt, silk, gloss]")},
	{"no-midtones", edits("  midtones: 40 - 50 %\n", ""), edits("  midtone spread: 5 %", "  # midtone spread: 5 %",
		"  midtones: 40 - 50 %\n", "")},
}

func edits(pairs ...string) [][2]string {
	var all [][2]string
	for i := 0; i < len(pairs); i += 2 {
		all = append(all, [2]string{pairs[i], pairs[i+1]})
	}
	return all
}

func reviewed(t *testing.T, changes [][2]string) []string {
	t.Helper()
	text, err := os.ReadFile(demo)
	require.NoError(t, err)
	plain := string(text)
	for _, c := range changes {
		require.Contains(t, plain, c[0])
		plain = strings.Replace(plain, c[0], c[1], 1)
	}
	p, findings := Load("saltmarsh.yaml", []byte(plain))
	require.Empty(t, lines(findings))
	found := Review(p)
	for _, f := range found {
		require.NotContains(t, f.Message()+f.Advice(), "{", f.Rule.ID)
		require.True(t, f.Place.Known(), f.Rule.ID)
	}
	return strings.Split(strings.TrimSpace(lines(found)), "\n")
}

func TestReview(t *testing.T) {
	require.Empty(t, lines(Review(loadDemo(t))), "the demo plant has no gaps")
	var out strings.Builder
	fired := map[string]bool{}
	for _, c := range gaps {
		found := strings.Join(reviewed(t, c.fires), "\n")
		fmt.Fprintf(&out, "%s\n", found)
		require.Contains(t, found, "plant/"+c.rule+" ")
		fired["plant/"+c.rule] = true
		require.NotContains(t, strings.Join(reviewed(t, c.near), "\n"), "plant/"+c.rule+" ")
	}
	golden(t, "testdata/review.golden", out.String())
	for _, r := range reviewRules() {
		if r != noCreaser && r != noFolder && r != noCutter { // TestReviewWithout
			require.True(t, fired[r.ID], "%s never fired", r.ID)
		}
	}
}

// Plants that lack machines.
func TestReviewWithout(t *testing.T) {
	found := func(change func(p *Plant)) string {
		p := *loadDemo(t)
		change(&p)
		return lines(Review(&p))
	}
	require.Contains(t, found(func(p *Plant) { p.DieCutters = nil }), "plant/no-creaser ")
	require.NotContains(t, found(func(p *Plant) {
		f := *p.Folders[0]
		f.Creaser = true
		p.DieCutters, p.Folders = nil, []*Folder{&f}
	}), "plant/no-creaser ")
	require.NotContains(t, found(func(p *Plant) { p.DieCutters, p.Score = nil, Score{} }), "plant/no-creaser ")

	require.Equal(t, 2, strings.Count(found(func(p *Plant) { p.Folders = nil }), "plant/no-folder "))
	require.NotContains(t, found(func(p *Plant) {
		p.Folders, p.HandWork = nil, append([]*HandWork{{Machine: p.Folders[0].Machine, Task: "Folding"}}, p.HandWork...)
	}), "plant/no-folder ")

	require.Contains(t, found(func(p *Plant) { p.Guillotines = nil }), "plant/no-guillotine ")
	require.NotContains(t, found(func(p *Plant) { p.Guillotines, p.Presses = nil, nil }), "plant/no-guillotine ")
	require.NotContains(t, found(func(p *Plant) { p.Stocks = nil }), "plant/unfed-machine ")
	require.Empty(t, Review(&Plant{}))
}
