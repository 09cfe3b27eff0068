package emit

import (
	"strings"

	"github.com/shopspring/decimal"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/value"
)

// product is a flat or folded job; change adds what a case needs.
func product(change func(*job.Product)) *job.Job {
	p := &job.Product{Root: true, Name: fact("Notice")}
	p.Amount.Good = fact(decimal.NewFromInt(4000))
	p.Size = fact(shape(148, 210))
	p.Media.Weight = fact(135.0)
	p.Media.FrontCoating = fact("Gloss")
	p.Front.Colors = fact([]string{"Cyan", "Magenta", "Yellow", "Black"})
	p.Back.Colors = fact([]string{"Black"})
	if change != nil {
		change(p)
	}
	return &job.Job{ID: fact("SM-7"), Products: []*job.Product{p}}
}

func fact[T any](v T) job.Fact[T] { return job.Of(v, jdf.Place{}) }

func shape(w, h float64) value.Shape {
	return value.Shape{X: value.FromMM(w).Points(), Y: value.FromMM(h).Points()}
}

func book(cover bool) *job.Job {
	return product(func(p *job.Product) {
		p.Size = fact(shape(210, 297))
		p.Binding.Type = fact("SaddleStitch")
		p.Pages = fact(40)
		if !cover {
			return
		}
		body, wrap := *p, *p
		body.Type, body.Root, body.Binding = fact("Body"), false, job.Binding{}
		wrap.Type, wrap.Root, wrap.Binding, wrap.Pages = fact("Cover"), false, job.Binding{}, fact(4)
		wrap.Media.Weight, wrap.Media.FrontCoating = fact(250.0), fact("Satin")
		p.Parts = []*job.Product{&wrap, &body}
	})
}

// glued is a perfect-bound book.
func glued(copies int64) *job.Job {
	return product(func(p *job.Product) {
		p.Amount.Good = fact(decimal.NewFromInt(copies))
		p.Binding.Type, p.Pages = fact("SoftCover"), fact(132)
		body, wrap := *p, *p
		body.Type, body.Root, body.Binding, body.Pages = fact("Body"), false, job.Binding{}, fact(128)
		body.Front.Colors = body.Back.Colors
		wrap.Type, wrap.Root, wrap.Binding, wrap.Pages = fact("Cover"), false, job.Binding{}, fact(4)
		wrap.Media.Weight, wrap.Media.FrontCoating = fact(250.0), fact("Satin")
		p.Parts = []*job.Product{&wrap, &body}
	})
}

// covered tells how much ink its sides take.
func covered(change func(*job.Product)) *job.Job {
	return product(func(p *job.Product) {
		p.Amount.Good = fact(decimal.NewFromInt(20_000))
		if change != nil {
			change(p)
		}
		p.Front.Coverage = fact(decimal.NewFromInt(160))
		p.Back.Coverage = fact(decimal.NewFromInt(30))
	})
}

// finished is coated and laminated beside the press, cut out with a die, and
// goes over two benches.
func finished() *job.Job {
	j := product(func(p *job.Product) {
		p.Size, p.Media.Weight, p.Media.FrontCoating = fact(shape(100, 100)), fact(250.0), fact("Satin")
		p.Front.Coatings = fact([]string{"UV"})
		p.Lamination = job.Lamination{Surface: fact("Back"), Texture: fact("Gloss")}
	})
	j.Operations = []*job.Operation{{Type: "ShapeCutting"}, {Type: "Inserting"}, {Type: "BoxPacking"}}
	return j
}

var cases = []struct {
	name string
	job  *job.Job
}{
	{"flat", product(nil)},
	{"one side", product(func(p *job.Product) { p.Back.Colors = fact([]string{}) })},
	{"folded", product(func(p *job.Product) { p.Fold, p.Size = fact("F6-2"), fact(shape(99, 210)) })},
	{"digital", product(func(p *job.Product) {
		p.Amount.Good = fact(decimal.NewFromInt(60))
		p.Media.Weight, p.Media.FrontCoating = fact(300.0), fact("Satin")
	})},
	{"special colour", product(func(p *job.Product) {
		p.Front.Colors = fact([]string{"Marsh Green 3", "Marsh/Green 3", "Black"})
		p.Back.Colors = fact([]string{"Cyan", "Magenta", "Yellow", "Black", "Sea Blue 12", "Gold"})
	})},
	{"names that are no tokens", func() *job.Job {
		j := product(nil)
		j.ID = fact("Job 7/a: \"tide\"")
		return j
	}()},
	{"a job id longer than JDF takes", func() *job.Job {
		j := product(nil)
		j.ID = fact(strings.Repeat("Tide-tables-", 7))
		return j
	}()},
	{"due", product(func(p *job.Product) {
		due, err := value.ParseDateTime("2026-03-09T16:00:00+01:00")
		if err != nil {
			panic(err)
		}
		p.Due = fact(due)
	})},
	{"coated", product(func(p *job.Product) {
		p.Front.Coatings = fact([]string{"FullGloss"})
		p.Back.Coatings = fact([]string{"FullGloss"})
	})},
	{"surfaces, die and hands", finished()},
	{"coverage told", covered(nil)},
	{"coverage told, back form", covered(func(p *job.Product) {
		p.Back.Colors, p.Size = fact([]string{"Cyan", "Magenta", "Black"}), fact(shape(420, 594))
	})},
	{"film on both sides of a folded piece", product(func(p *job.Product) {
		p.Fold, p.Size = fact("F6-2"), fact(shape(99, 210))
		p.Lamination = job.Lamination{Surface: fact("Both"), Texture: fact("Matte")}
	})},
	{"laminated cover, packed by hand", func() *job.Job {
		j := book(true)
		j.Products[0].Parts[0].Lamination.Surface = fact("Front")
		j.Operations = []*job.Operation{{Type: "BoxPacking"}}
		return j
	}()},
	{"self cover", book(false)},
	{"cover and body", book(true)},
	{"perfect bound", glued(3000)},
	{"perfect bound, leaves in one run", glued(200)},
}
