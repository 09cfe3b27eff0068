package account_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/convert/cost"
	"quoin/convert/cost/account"
	"quoin/jdf/job"
	"quoin/validate"
	"quoin/validate/plant"
)

// printed is an hour of a press that made as many sheets as were planned, of a class of
// work, with nothing else to deviate.
func printed(t *testing.T, class cost.Class) account.Books {
	b := books(t, cell("p1", "J1", job.StateRun, "1h", "5000", "200"))
	b.Tasks = []cost.Task{{
		Job: "J1", Device: "p1", Run: span("1h"), In: d("5200"), Good: d("5000"), Waste: d("200"), Class: class,
	}}
	return b
}

func materials(s *account.Statement) map[string]account.Material {
	all := map[string]account.Material{}
	for _, m := range s.Materials {
		all[m.Kind] = m
	}
	return all
}

// Without any report or plan of material it is worked out of sheets, colours and area.
func TestMaterialOfThePress(t *testing.T) {
	class := gloss
	class.Coating = "aqueous"
	s := make1(t, printed(t, class), account.ByJob, account.Filter{})
	a := s.Total.Actual
	require.Equal(t, "5824", a.Paper.String())    // 5200 sheets at 1.12
	require.Equal(t, "37.6", a.Plates.String())   // four at 9.40
	require.Equal(t, "44.93", a.Ink.String())     // 5200 x 0.576 m2 x 4 x 20 % x 1.5 g/m2 = 3.59424 kg at 12.50
	require.Equal(t, "50.32", a.Coating.String()) // 5200 x 0.576 m2 x 4 g/m2 = 11.9808 kg at 4.20
	require.True(t, s.Total.Variance.Total.IsZero())
	got := materials(s)
	require.Equal(t, "3.5942", got["ink"].Kilos.String())
	require.Equal(t, "404.352", got["paper"].Kilos.String()) // a sheet weighs 0.07776 kg
	require.Equal(t, "p1", got["paper"].Device)
	require.False(t, got["paper"].Reported)

	// Half as many sheets take half of it, but all plates.
	b := printed(t, class)
	b.Cells = slices.Values([]account.Cell{cell("p1", "J1", job.StateRun, "30m", "2500", "100")})
	a = make1(t, b, account.ByJob, account.Filter{}).Total.Actual
	require.Equal(t, []string{"2912", "37.6"}, []string{a.Paper.String(), a.Plates.String()})
}

// Source: the printers' formula of area x coverage x film of a solid x impressions; by
// hand, 0.64 x 0.90 m, 10,000 sheets, 1.3 g/m2, 35 % and 4/4 colours take 20.9664 kg.
func TestInkByArea(t *testing.T) {
	class := gloss
	class.ColoursBack = 4
	b := books(t, cell("p1", "J1", job.StateRun, "1h", "10000", "0"))
	b.Plant.Coverage, b.Plant.Presses[0].InkFilm = d("35"), d("1.3")
	b.Tasks = []cost.Task{{Job: "J1", Device: "p1", Run: span("1h"), Good: d("10000"), Class: class}}
	s := make1(t, b, account.ByJob, account.Filter{})
	require.Equal(t, "20.9664", materials(s)["ink"].Quantity.String())
	require.Equal(t, "262.08", s.Total.Actual.Ink.String())
}

func TestClicks(t *testing.T) {
	class := gloss
	class.ColoursBack = 1
	b := printed(t, class)
	press := b.Plant.Presses[0]
	press.Kind, press.ClickPrice, press.BlackClickPrice = plant.Digital, d("0.048"), d("0.011")
	s := make1(t, b, account.ByJob, account.Filter{})
	require.Equal(t, "306.8", s.Total.Actual.Other.String()) // 5200 x (0.048 + 0.011)
	require.True(t, s.Total.Actual.Plates.IsZero())
}

// What is reported counts, by the price of its name, in grams or kilograms.
func TestReportedMaterial(t *testing.T) {
	b := printed(t, gloss)
	b.Uses = []cost.Use{
		{Job: "J1", Kind: "Ink", Usage: "Input", Name: "Cyan", Good: d("1500")},
		{Job: "J1", Kind: "Ink", Usage: "Input", Name: "Saltmarsh Green", Unit: "kg", Good: d("1"), Lot: "G-7"},
		{Job: "J1", Kind: "Ink", Usage: "Input", Name: "gloss-coat", Unit: "g", Good: d("2500"), Waste: d("500")},
		{Job: "J1", Kind: "ExposedMedia", Usage: "Input", Good: d("5")},
		{Job: "J1", Kind: "Media", Type: "Plate", Usage: "Input", Good: d("9")}, // of the plate setter
		{Job: "J1", Kind: "Media", Usage: "Input", Item: "gloss-135", Good: d("5000"), Waste: d("300"), Lot: "L1"},
		{Job: "J1", Kind: "Component", Usage: "Output", Good: d("5000")},
	}
	s := make1(t, b, account.ByJob, account.Filter{})
	a := s.Total.Actual
	require.Equal(t, "44.75", a.Ink.String())    // 1.5 kg at 12.50, 1 kg at 26
	require.Equal(t, "12.6", a.Coating.String()) // 3 kg at 4.20
	require.Equal(t, "47", a.Plates.String())
	require.Equal(t, "5936", a.Paper.String()) // 5300 at 1.12
	got := materials(s)
	require.True(t, got["paper"].Reported)
	require.Equal(t, []string{"L1"}, got["paper"].Lots)
	require.Equal(t, "2.5", got["ink"].Quantity.String())
	require.Equal(t, "9.4", s.Total.Variance.Changeover.String(), "the fifth plate")
	require.Equal(t, "12.6", s.Total.Variance.Scope.String(), "no plan has the coating")
}

// A plan in bought sheets and a report in half sheets of the press compare by weight.
func TestPaperByWeight(t *testing.T) {
	half := gloss
	half.Width, half.Height = 450*plant.Millimetre, 640*plant.Millimetre
	b := printed(t, half)
	b.Supplies = []account.Supply{
		{Job: "J1", Kind: "paper", Name: "gloss-135", Quantity: d("2600"), Unit: "sheets",
			Kilos: d("202.176"), Cost: d("2912")},
	}
	b.Uses = []cost.Use{{Job: "J1", Kind: "Media", Usage: "Input", Item: "gloss-135", Good: d("5000"), Waste: d("400")}}
	s := make1(t, b, account.ByJob, account.Filter{})
	paper := materials(s)["paper"]
	require.Equal(t, []string{"5400", "5200", "209.952"},
		[]string{paper.Quantity.String(), paper.Planned.String(), paper.Kilos.String()})
	require.Equal(t, []string{"3024", "2912"}, []string{paper.Cost.String(), paper.PlanCost.String()})
	require.Equal(t, "112", s.Total.Variance.Waste.String())
	require.Equal(t, "0", s.Total.Variance.Rate.String())
}

// Material of a job without any time is charged to no device.
func TestMaterialAlone(t *testing.T) {
	b := account.Books{Plant: works(t), Uses: []cost.Use{
		{Job: "J1", Kind: "Media", Usage: "Input", Item: "gloss-135", Good: d("100")},
	}}
	s := make1(t, b, account.ByDevice, account.Filter{})
	require.Len(t, s.Rows, 1)
	require.Equal(t, "", s.Rows[0].Key)
	require.Equal(t, "112", s.Rows[0].Actual.Paper.String())
}

func TestFindings(t *testing.T) {
	stray := cell("press-9", "J1", job.StateRun, "1h")
	charged := cell("p1", "J1", job.StateRun, "1h")
	charged.Centre = "pres"
	loose := cell("f1", "J1", job.StateRun, "1h")
	b := books(t, stray, charged, loose, stray)
	b.Plant.Folders[0].CostCentre = nil
	b.Plant.Presses[1].ID = "press-1"
	b.Uses = []cost.Use{{Job: "J1", Kind: "Media", Usage: "Input", Good: d("100")}}
	s, findings := account.Make(b, account.ByDevice, account.Filter{})
	require.ElementsMatch(t, []string{
		`audit/unknown-device: device "press-9" is not in the plant file, which has press-1; its time is not priced`,
		`audit/unknown-cost-centre: cost centre "pres" is not in the plant file; want dear, fold, press`,
		`audit/no-cost-centre: device "f1" has no cost centre; its time is not priced`,
		`audit/no-price: paper of job "J1" has no price; its consumption is not charged`,
	}, told(findings))
	require.Equal(t, span("3h"), s.Total.Unpriced)
	require.Equal(t, "95", s.Total.Actual.Total.String(), "the cost centre of the device counts")
}

func TestRules(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range cost.Rules() {
		seen[r.ID] = true
	}
	for _, id := range []string{"audit/unknown-device", "audit/unknown-cost-centre", "audit/no-cost-centre"} {
		require.True(t, seen[id], "%s is used here", id)
	}
	require.NotEmpty(t, account.Rules())
	for _, r := range account.Rules() {
		require.True(t, strings.HasPrefix(r.ID, validate.GroupAudit+"/"))
		require.False(t, seen[r.ID], "%s is taken", r.ID)
		seen[r.ID] = true
		for _, text := range []string{r.Say, r.Do, r.Why} {
			require.NotEmpty(t, text)
		}
	}
}

// Wages, premiums of shifts and overtime: two people at 30.00 with 50 % on top.
func TestPremiums(t *testing.T) {
	over := cell("p2", "J1", job.StateRun, "2h")
	over.Shift = ""
	s := make1(t, books(t, over), account.ByCentre, account.Filter{})
	require.Equal(t, "257", s.Total.Actual.Run.String()) // 2 x (98.50 + 30.00)
	require.Equal(t, "60", s.Total.Extra.Premiums.String())
	night := cell("p1", "J1", job.StateMakeready, "1h")
	night.Shift, night.Work = "night", "Rework"
	s = make1(t, books(t, night), account.ByCentre, account.Filter{})
	require.Equal(t, "97.5", s.Total.Actual.Makeready.String()) // 25 % on 78.00, for want of a wage
	require.Equal(t, "97.5", s.Total.Extra.Rework.String())
	require.Equal(t, "19.5", s.Total.Extra.Premiums.String())
}
