package account_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/convert/cost"
	"quoin/convert/cost/account"
	"quoin/jdf/job"
	"quoin/validate"
	"quoin/validate/plant"
)

func d(text string) decimal.Decimal { return decimal.RequireFromString(text) }

func span(text string) cost.Span {
	t, err := time.ParseDuration(text)
	if err != nil {
		panic(err)
	}
	return cost.Span(t)
}

func berlin(t testing.TB) *time.Location {
	t.Helper()
	zone, err := time.LoadLocation("Europe/Berlin")
	require.NoError(t, err)
	return zone
}

var allDays = plant.On(0, 1, 2, 3, 4, 5, 6)

// works is a plant with a press and a folder on early and late shifts, a night shift
// at the press, and a press that is charged dearer.
func works(t testing.TB) *plant.Plant {
	t.Helper()
	early := plant.Shift{Days: allDays, From: 6 * 60, To: 14 * 60, Name: "early"}
	late := plant.Shift{Days: allDays, From: 14 * 60, To: 22 * 60, Name: "late"}
	night := plant.Shift{Days: allDays, From: 22 * 60, To: 30 * 60, Name: "night", Premium: d("25")}
	press := &plant.CostCentre{
		ID: "press", Makeready: d("78.00"), Run: d("95.00"), Idle: d("54.00"), Crew: 1,
		Shifts: []plant.Shift{early, late, night},
	}
	dear := &plant.CostCentre{
		ID: "dear", Makeready: d("80.00"), Run: d("98.50"), Idle: d("60.00"), Crew: 2, Wage: d("30"),
		Shifts: []plant.Shift{early}, Overtime: d("50"),
	}
	fold := &plant.CostCentre{
		ID: "fold", Makeready: d("55.00"), Run: d("61.00"), Idle: d("40.00"), Crew: 1,
		Shifts: []plant.Shift{early, late},
	}
	speed := []plant.Step{{UpTo: d("100"), Value: d("8000")}, {Value: d("12000")}}
	offset := func(id string, c *plant.CostCentre) *plant.Press {
		return &plant.Press{
			Machine: plant.Machine{ID: id, Name: "Press " + id, CostCentre: c}, Kind: plant.Offset, Speed: speed,
			PlatePrice: d("9.40"), InkPrice: d("12.50"), InkFilm: d("1.5"),
			CoatingFilm: d("4"), CoatingPrice: d("4.20"),
		}
	}
	return &plant.Plant{
		Name: "Small works", Currency: "EUR", Places: 2, Tolerance: d("10"), Coverage: d("20"), Zone: berlin(t),
		CostCentres: []*plant.CostCentre{press, dear, fold},
		Presses:     []*plant.Press{offset("p1", press), offset("p2", dear)},
		Folders: []*plant.Folder{{
			Machine: plant.Machine{ID: "f1", Name: "Folder", CostCentre: fold}, Speed: []plant.Step{{Value: d("7000")}},
		}},
		Stocks: []*plant.Stock{{
			ID: "gloss-135", Name: "Gloss 135", Grammage: 135, Coating: "gloss", Price: d("1120"),
			Size: plant.Size{Width: 640 * plant.Millimetre, Height: 900 * plant.Millimetre},
		}},
		Inks: []*plant.Ink{
			{ID: "Cyan", Kind: plant.ProcessInk, Price: d("12.50")},
			{ID: "green", Name: "Saltmarsh Green", Kind: plant.SpecialInk, Price: d("26")},
			{ID: "gloss-coat", Kind: plant.AqueousCoating, Price: d("4.20")},
		},
	}
}

// gloss is the class of work of a sheet of the stock above, four colours on the front.
var gloss = cost.Class{
	Grammage: d("135"), Stock: "gloss", ColoursFront: 4,
	Width: 640 * plant.Millimetre, Height: 900 * plant.Millimetre,
}

// cell is time of a device on 2 March 2026, a Monday, in the early shift.
func cell(device, id string, state job.State, length string, amounts ...string) account.Cell {
	c := account.Cell{
		Day: "2026-03-02", Shift: "early", Device: device, Job: id, State: state, Time: span(length), Entries: 1,
	}
	if len(amounts) == 2 {
		c.Good, c.Waste = d(amounts[0]), d(amounts[1])
	}
	return c
}

func books(t testing.TB, cells ...account.Cell) account.Books {
	t.Helper()
	return account.Books{Plant: works(t), Cells: slices.Values(cells)}
}

// make1 makes a statement of which no finding is expected.
func make1(t testing.TB, b account.Books, by account.By, f account.Filter) *account.Statement {
	t.Helper()
	s, findings := account.Make(b, by, f)
	require.Empty(t, told(findings))
	require.NotNil(t, s)
	return s
}

func told(findings []validate.Finding) []string {
	var all []string
	for _, f := range findings {
		all = append(all, f.Rule.ID+": "+f.Message())
	}
	return all
}

// spread writes the parts of a variance shortly.
func spread(v account.Variance) string {
	return fmt.Sprintf("quantity %s time %s rate %s waste %s changeover %s scope %s total %s",
		v.Quantity, v.Time, v.Rate, v.Waste, v.Changeover, v.Scope, v.Total)
}
