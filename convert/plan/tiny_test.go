package plan

import (
	"time"

	"github.com/shopspring/decimal"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/value"
	"quoin/validate/plant"
)

// tinyPlant is small enough to try everything by hand: an offset press of two
// units, a digital one, a guillotine, a folder, a stitcher and a binder.
func tinyPlant() *plant.Plant {
	centre := &plant.CostCentre{ID: "all", Makeready: dec("60"), Run: dec("75.50")}
	machine := func(id string) plant.Machine { return plant.Machine{ID: id, Name: id, CostCentre: centre} }
	step := func(v string) []plant.Step { return []plant.Step{{Value: dec(v)}} }
	return &plant.Plant{
		Name: "Tiny", Currency: "EUR", Places: 2, Bleed: 3 * mm, Gutter: 6 * mm, CreepFactor: dec("1"), Coverage: dec("20"),
		Presses: []*plant.Press{
			{
				Machine: machine("offset"), Kind: plant.Offset, MinSheet: size(200, 150), MaxSheet: size(650, 480),
				Gripper: 10 * mm, Tail: 5 * mm, Side: 5 * mm, ColorBar: 4 * mm, Units: 2, Speed: step("8000"),
				Makeready: 10 * time.Minute, PlateChange: 2 * time.Minute, PlatesAtOnce: 1, WashUp: 3 * time.Minute,
				WashUpColor: time.Minute,
				Setup: plant.Spoilage{Setup: 20, SetupPerUnit: 30, Later: dec("50"), Running: []plant.Step{
					{UpTo: dec("500"), Value: dec("4")}, {Value: dec("2.5")},
				}},
				PlatePrice: dec("5.25"), InkPrice: dec("10"), InkFilm: dec("1.5"),
				Perfecting: &plant.Perfecting{Front: 1, Back: 1, Speed: dec("80"), Setup: 10},
			},
			{
				Machine: machine("digital"), Kind: plant.Digital, MinSheet: size(100, 100), MaxSheet: size(330, 487),
				Gripper: 4 * mm, Tail: 4 * mm, Side: 4 * mm, Units: 4, Speed: step("2000"), Makeready: 5 * time.Minute,
				Setup:      plant.Spoilage{Setup: 5, Running: step("1")},
				ClickPrice: dec("0.048"), BlackClickPrice: dec("0.011"),
			},
		},
		Guillotines: []*plant.Guillotine{{
			Machine: machine("knife"), MaxWidth: 720 * mm, MaxDepth: 720 * mm, MinCut: 20 * mm, Lift: 80 * mm,
			Setup: 5 * time.Minute, Load: time.Minute, Cut: 10 * time.Second, Spoilage: plant.Spoilage{Running: step("0.5")},
		}},
		Folders: []*plant.Folder{{
			Machine: machine("folder"), MinSheet: size(100, 100), MaxSheet: size(650, 480), Speed: step("7000"),
			Setup: 10 * time.Minute, SetupPerFold: 3 * time.Minute,
			Spoilage: plant.Spoilage{Setup: 10, SetupPerUnit: 10, Running: step("1")},
			Catalog: []plant.FoldScheme{
				{Code: "F4-1", Columns: 2, Rows: 1, Folds: 1}, {Code: "F8-7", Columns: 2, Rows: 2, Folds: 2},
				{Code: "F16-6", Columns: 4, Rows: 2, Folds: 3}, {Code: "F6-2", Columns: 3, Rows: 1, Folds: 2},
			},
		}},
		Stitchers: []*plant.Stitcher{{
			Machine: machine("stitcher"), Pages: plant.IntRange{Min: 8, Max: 96}, Thickness: plant.Range{Min: 200, Max: 6000},
			MinTrim: size(50, 50), MaxTrim: size(300, 300), Pockets: 6, Speed: 5000, Setup: 10 * time.Minute,
			SetupPerPocket: 4 * time.Minute, Lap: 8 * mm, WirePrice: dec("1.10"),
			Spoilage: plant.Spoilage{Setup: 20, SetupPerUnit: 10, Running: step("1")},
		}},
		GrindOff: 3 * mm,
		Binders: []*plant.Binder{{
			Machine: machine("binder"), Thickness: plant.Range{Min: 1000, Max: 40000}, Cover: plant.Range{Min: 90, Max: 300},
			MinTrim: size(60, 80), MaxTrim: size(300, 300), Stations: 8, Speed: 2500, Setup: 20 * time.Minute,
			SetupPerStation: 3 * time.Minute, GluePrice: dec("14"),
			Spoilage: plant.Spoilage{Setup: 20, SetupPerUnit: 10, Running: step("1.5")},
		}},
		Stocks: []*plant.Stock{
			{ID: "large", Size: size(450, 640), Grammage: 100, Caliper: 97.75, Grain: "long", Price: dec("40.10")},
			{ID: "small", Size: size(320, 450), Grammage: 100, Caliper: 100, Grain: "short", Price: dec("22.75")},
		},
	}
}

func given[T any](v T) job.Fact[T] { return job.Of(v, jdf.Place{}) }

// flatJob asks for a flat piece in millimetres on 100 g/m2.
func flatJob(w, h float64, quantity int, front, back []string) *job.Job {
	p := &job.Product{Root: true, Name: given("Piece")}
	p.Amount.Good = given(decimal.NewFromInt(int64(quantity)))
	p.Size = given(value.Shape{X: value.FromMM(w).Points(), Y: value.FromMM(h).Points()})
	p.Media.Weight = given(100.0)
	p.Front.Colors, p.Back.Colors = given(front), given(back)
	return &job.Job{ID: given("T-1"), Products: []*job.Product{p}}
}

// bookJob asks for a self-cover stitched book.
func bookJob(w, h float64, pages, quantity int, colors []string) *job.Job {
	j := flatJob(w, h, quantity, colors, colors)
	j.Products[0].Binding.Type = given("SaddleStitch")
	j.Products[0].Pages = given(pages)
	return j
}
