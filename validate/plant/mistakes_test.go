package plant

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// mistakes are changes to the small plant that are each reported.
var mistakes = []struct{ name, old, new string }{
	{"mistyped key", "gripper: 10 mm", "griper: 10 mm"},
	{"key in capitals", "units: 4", "Units: 4"},
	{"number as key", "units: 4", "17: 4"},
	{"missing key", "    tail: 5 mm\n", ""},
	{"key twice", "tail: 5 mm", "tail: 5 mm\n    tail: 6 mm"},
	{"plate price of a digital press", "click price: 0.0480 per side",
		"click price: 0.0480 per side\n    plate price: 9 EUR each"},
	{"coating price without coater", "    coatings: [aqueous, UV]\n", ""},
	{"merge key", "tail: 5 mm", "tail: 5 mm\n    <<: {side: 5 mm}"},
	{"list for a value", "bleed: 3 mm", "bleed: [3 mm]"},
	{"nothing for a value", "bleed: 3 mm", "bleed:"},
	{"value for a list", "[aqueous, UV]", "aqueous"},
	{"value for a group", "{front: 2, back: 2, grammage: 70 - 200 g/m2, speed: 85 %, setup: 100 sheets}", "yes"},
	{"list for a table", "speed: 3000 sheets/h", "speed: [3000 sheets/h]"},
	{"unit left out", "bleed: 3 mm", "bleed: 3"},
	{"wrong unit", "bleed: 3 mm", "bleed: 3 g/m2"},
	{"unit of another quantity", "speed: 3000 sheets/h", "speed: 3000 copies/h"},
	{"wrong currency", "plate price: 9.40 EUR each", "plate price: 9.40 USD each"},
	{"price for what", "plate price: 9.40 EUR each", "plate price: 9.40 EUR"},
	{"no number", "bleed: 3 mm", "bleed: three mm"},
	{"separators", "speed: 3000 sheets/h", "speed: 3,000 sheets/h"},
	{"two points", "bleed: 3 mm", "bleed: 3.0.1 mm"},
	{"many digits", "bleed: 3 mm", "bleed: 3.00000000000000001 mm"},
	{"below zero", "bleed: 3 mm", "bleed: -3 mm"},
	{"finer than a micrometre", "bleed: 3 mm", "bleed: 3.0005 mm"},
	{"not a range", "grammage: 60 - 250 g/m2", "grammage: 250 g/m2"},
	{"range backwards", "grammage: 60 - 250 g/m2", "grammage: 250 - 60 g/m2"},
	{"not a size", "size: 500 x 700 mm", "size: 500 mm"},
	{"flat size", "size: 500 x 700 mm", "size: 500 x 0 mm"},
	{"zero speed", "speed: 10000 sheets/h", "speed: 0 sheets/h"},
	{"half a unit", "units: 4", "units: 4.5"},
	{"no units", "units: 4", "units: 0"},
	{"all is waste", "waste: {running: 2 %}", "waste: {running: 100 %}"},
	{"unknown kind", "kind: digital", "kind: gravure"},
	{"unknown coating", "[aqueous, UV]", "[aqueous, EB]"},
	{"currency in small letters", "currency: EUR", "currency: eur"},
	{"id with a space", "id: press-1", "id: press 1"},
	{"least over greatest", "min sheet: 300 x 210 mm", "min sheet: 530 x 210 mm"},
	{"margins over the sheet", "gripper: 10 mm", "gripper: 205 mm"},
	{"too many perfecting units", "front: 2", "front: 3"},
	{"gutter under twice the bleed", "gutter: 6 mm", "gutter: 5.9 mm"},
	{"steps not rising", "up to 80 g/m2: 8000 sheets/h",
		"up to 80 g/m2: 8000 sheets/h\n      up to 80 g/m2: 9000 sheets/h"},
	{"step behind above", "above: 11000 sheets/h", "above: 11000 sheets/h\n      up to 300 g/m2: 9000 sheets/h"},
	{"table open above", "above: 11000 sheets/h", "up to 300 g/m2: 11000 sheets/h"},
	{"step without up to", "up to 80 g/m2", "80 g/m2"},
	{"step in a wrong unit", "up to 80 g/m2", "up to 80 mm"},
	{"machine id twice", "id: cut-1", "id: press-1"},
	{"cost centre id twice", "  - {id: floor",
		"  - {id: floor, makeready: 1 /h, run: 1 /h, idle: 1 /h}\n  - {id: floor"},
	{"unknown cost centre", "id: fold-1\n    cost centre: floor", "id: fold-1\n    cost centre: flor"},
	{"fold code", "code: F16-6", "code: 16-6"},
	{"open fold scheme", "code: F16-6", "code: F16-X"},
	{"cells and pages", "columns: 4, rows: 2", "columns: 3, rows: 2"},
	{"too few folds", "rows: 2, folds: 3", "rows: 2, folds: 2"},
	{"too many folds", "rows: 2, folds: 3", "rows: 2, folds: 5"},
	{"fold twice", "code: F4-1, columns: 2, rows: 1, folds: 1", "code: F16-6, columns: 4, rows: 2, folds: 3"},
	{"smallest cut", "min cut: 25 mm", "min cut: 1150 mm"},
	{"no such zone", "bleed: 3 mm", "bleed: 3 mm\ntime zone: Europe/Saltmarsh"},
	{"zone of the computer", "bleed: 3 mm", "bleed: 3 mm\ntime zone: Local"},
	{"no such day", "bleed: 3 mm", "bleed: 3 mm\nholidays: [2026-02-29]"},
	{"holiday without list", "bleed: 3 mm", "bleed: 3 mm\nholidays: 2026-12-25"},
	{"nobody at work", "idle: 30 EUR per hour", "idle: 30 EUR per hour, crew: 0"},
	{"no such weekday", "idle: 30 EUR per hour",
		"idle: 30 EUR per hour, shifts: [{days: Mon - Fry, from: 06:00, to: 14:00}]"},
	{"week backwards", "idle: 30 EUR per hour",
		"idle: 30 EUR per hour, shifts: [{days: Sat - Mon, from: 06:00, to: 14:00}]"},
	{"late hour", "idle: 30 EUR per hour",
		"idle: 30 EUR per hour, shifts: [{days: Mon, from: 06:00, to: 24:01}]"},
	{"hours without minutes", "idle: 30 EUR per hour",
		"idle: 30 EUR per hour, shifts: [{days: Mon, from: 6, to: 14:00}]"},
	{"shifts at once", "idle: 30 EUR per hour", "idle: 30 EUR per hour, shifts: " +
		"[{days: Mon - Fri, from: 06:00, to: 14:01}, {days: Fri, from: 14:00, to: 22:00}]"},
	{"night into the early shift", "idle: 30 EUR per hour", "idle: 30 EUR per hour, shifts: " +
		"[{days: Sun, from: 22:00, to: 06:01}, {days: Mon, from: 06:00, to: 14:00}]"},
	{"task after nothing", "makeready: 12 min",
		"makeready: 12 min\n    makeready tasks: [{name: a, time: 1 min, after: [b]}]"},
	{"task twice", "makeready: 12 min",
		"makeready: 12 min\n    makeready tasks: [{name: a, time: 1 min}, {name: a, time: 2 min}]"},
	{"tasks in a ring", "makeready: 12 min", "makeready: 12 min\n    makeready tasks: " +
		"[{name: a, time: 1 min, after: [c]}, {name: b, time: 2 min, after: [a]}, {name: c, time: 1 min, after: [b]}]"},
	{"neither yes nor no", "makeready: 12 min",
		"makeready: 12 min\n    makeready tasks: [{name: a, time: 1 min, per unit: maybe}]"},
	{"unknown paper", "makeready: 12 min", "makeready: 12 min\n    stock speed: {glossy: 90 %}"},
	{"thrice the speed", "makeready: 12 min", "makeready: 12 min\n    stock speed: {gloss: 300 %}"},
	{"makeready of six times", "makeready: 12 min",
		"makeready: 12 min\n    stock makeready: {up to 170 g/m2: 100 %, above: 600 %}"},
	{"makeready without a last step", "makeready: 12 min", "makeready: 12 min\n    stock makeready: {up to 170 g/m2: 90 %}"},
	{"makeready by caliper", "makeready: 12 min", "makeready: 12 min\n    stock makeready: {up to 104 um: 90 %, above: 100 %}"},
	{"waste of an unknown paper", "makeready: 12 min", "makeready: 12 min\n    stock waste: {glossy: 110 %}"},
	{"waste of nothing", "makeready: 12 min", "makeready: 12 min\n    stock waste: {gloss: 0 %}"},
	{"waste of all sheets", "waste: {running: 2 %}", "waste: {running: 25 %}\n    stock waste: {silk: 120 %, none: 400 %}"},
	{"dampening of a digital press", "click price: 0.0480 per side",
		"click price: 0.0480 per side\n    dampening: alcohol free"},
	{"crease with the grain first", "bleed: 3 mm",
		"bleed: 3 mm\nscore from: {along grain: 150 g/m2, across grain: 151 g/m2}"},
	{"heavy pallet", "bleed: 3 mm",
		"bleed: 3 mm\npallet: {size: 1200 x 800 mm, max height: 1 m, max weight: 25 kg, tare: 25 kg}"},
	{"pack of none", "grain: long", "grain: long\n    pack: 0 sheets"},
	{"film in another speed", "binders:", "laminators:\n  - " + film1("speed: 30 copies/h") + "\nbinders:"},
	{"film width backwards", "binders:",
		"laminators:\n  - " + film1("speed: 30 m/min, min width: 741 mm") + "\nbinders:"},
	{"hand work without pieces", "binders:",
		"hand work:\n  - {id: bench, cost centre: floor, task: Inserting, time: 150 min, setup: 1 min}\nbinders:"},
	{"hours of setup", "setup: 10 min", "setup: 1001 h"},
}

// film1 is a laminator with a few keys more.
func film1(more string) string {
	return "{id: film-1, cost centre: floor, max width: 740 mm, grammage: 115 - 450 g/m2, films: [gloss], " +
		"setup: 20 min, film price: 0.19 EUR per m2, waste: {running: 1 %}, " + more + "}"
}

// nearMisses are changes to the small plant that are all taken.
var nearMisses = []struct{ old, new string }{
	{"bleed: 3 mm", "bleed: 0.3 cm"},
	{"bleed: 3 mm", "bleed: 3mm"},
	{"bleed: 3 mm", "bleed: 0 mm"},
	{"bleed: 3 mm", "bleed: 3.001 mm\ngutter: 6.002 mm #"},
	{"gutter: 6 mm", "gutter: 0.25 in"},
	{"grammage: 60 - 250 g/m2", "grammage: 60 – 250 g/m²"},
	{"grammage: 60 - 250 g/m2", "grammage: 250 - 250 g/m2"},
	{"size: 500 x 700 mm", "size: 500×700 mm"},
	{"size: 500 x 700 mm", "size: \"500 x 700 mm\""},
	{"caliper: 104 um", "caliper: 0.104 mm"},
	{"caliper: 104 um", "caliper: 104 µm"},
	{"min sheet: 300 x 210 mm", "min sheet: 520 x 360 mm"},
	{"setup: 10 min", "setup: 0.5 h"},
	{"setup: 10 min", "setup: 1000 h"},
	{"waste: {running: 2 %}", "waste: {running: 99 %}"},
	{"units: 4", "units: 4 units"},
	{"rows: 2, folds: 3", "rows: 2, folds: 4"},
	{"plate price: 9.40 EUR each", "plate price: 9.40 each"},
	{"plate price: 9.40 EUR each", "plate price: 0 EUR per plate"},
	{"name: Small works", "name: 1984"},
	{"bleed: 3 mm", "bleed: 3 mm\ntime zone: America/St_Johns\nholidays: [2028-02-29]"},
	{"bleed: 3 mm", "bleed: 3 mm\nholidays: []"},
	{"idle: 30 EUR per hour", "idle: 30 EUR per hour, crew: 1"},
	{"idle: 30 EUR per hour", "idle: 30 EUR per hour, shifts: [{days: \"Mon, Wed – Fri\", from: 0:00, to: 24:00}]"},
	{"idle: 30 EUR per hour", "idle: 30 EUR per hour, shifts: " +
		"[{days: Mon - Fri, from: 06:00, to: 14:00}, {days: Fri, from: 14:00, to: 22:00}]"},
	{"idle: 30 EUR per hour", "idle: 30 EUR per hour, shifts: " +
		"[{days: Sun, from: 22:00, to: 06:00}, {days: Mon, from: 06:00, to: 14:00}]"},
	{"makeready: 12 min", "makeready: 12 min\n    makeready tasks: " +
		"[{name: a, time: 1 min, after: [b]}, {name: b, time: 2 min, per unit: yes}]"},
	{"makeready: 12 min", "makeready: 12 min\n    stock speed: {gloss: 200 %, none: 0.5 %}\n    ink limit: 400 %"},
	{"makeready: 12 min", "makeready: 12 min\n    stock makeready: {up to 170 g/m2: 100 %, above: 500 %}"},
	{"makeready: 12 min", "makeready: 12 min\n    stock makeready: 80 %\n    stock waste: {none: 160 %, gloss: 95.5 %}"},
	{"bleed: 3 mm", "bleed: 3 mm\nscore from: {along grain: 150 g/m2, across grain: 150 g/m2}"},
	{"bleed: 3 mm", "bleed: 3 mm\npallet: {size: 1200 x 800 mm, max height: 1 m, max weight: 0.8 t, tare: 25000 g}"},
	{"grain: long", "grain: long\n    pack: 1 sheets\n    minimum order: 500"},
	{"binders:", "laminators:\n  - " + film1("speed: 3000 sheets/h, both sides: true") + "\nbinders:"},
	{"binders:", "laminators:\n  - " + film1("speed: 30 m/min, min width: 740 mm") + "\nbinders:"},
	{"binders:", "hand work:\n  - {id: bench, cost centre: floor, task: Inserting, time: 2 h per 1000 pieces, " +
		"setup: 0 min}\nbinders:"},
	{"front: 2, back: 2", "front: 3, back: 1"},
	{"    coatings: [aqueous, UV]\n    coating makeready: 10 min\n    coating waste: 50 sheets\n" +
		"    coating film: 4 g/m2\n    coating price: 4.20 EUR/kg\n", ""},
}

func TestMistakes(t *testing.T) {
	var out strings.Builder
	fired := map[string]bool{}
	for _, m := range mistakes {
		base := small(t)
		require.Contains(t, base, m.old, m.name)
		_, findings := Load("small.yaml", []byte(strings.Replace(base, m.old, m.new, 1)))
		require.NotEmpty(t, findings, m.name)
		fmt.Fprintf(&out, "# %s\n%s", m.name, lines(findings))
		for _, f := range findings {
			fired[f.Rule.ID] = true
			require.NotContains(t, f.Message()+f.Advice(), "{", m.name)
			require.NotEmpty(t, f.Place.Path(), m.name)
		}
	}
	golden(t, "testdata/mistakes.golden", out.String())
	for _, r := range fileRules() {
		if r != fileSyntax && r != fileForm { // TestBadFiles
			require.True(t, fired[r.ID], "%s never fired", r.ID)
		}
	}
}

func TestNearMisses(t *testing.T) {
	for _, m := range nearMisses {
		base := small(t)
		require.Contains(t, base, m.old)
		text := strings.Replace(base, m.old, m.new, 1)
		if strings.Contains(m.new, "gutter") && m.old != "gutter: 6 mm" {
			text = strings.Replace(text, "\ngutter: 6 mm\n", "\n", 1)
		}
		_, findings := Load("small.yaml", []byte(text))
		require.Empty(t, lines(findings), m.new)
	}
}
