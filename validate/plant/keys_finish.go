package plant

import (
	"fmt"
	"math/bits"
	"strconv"
	"strings"
	"time"

	"github.com/shopspring/decimal"
)

func guillotineSchema() schema[Guillotine] {
	return schema[Guillotine]{
		name: "guillotine",
		keys: machineKeys(func(g *Guillotine) *Machine { return &g.Machine }, []key[Guillotine]{
			need("max width", someLength, func(g *Guillotine) *Length { return &g.MaxWidth }, "of the knife"),
			need("max depth", someLength, func(g *Guillotine) *Length { return &g.MaxDepth },
				"from the back gauge to the knife"),
			need("min cut", length, func(g *Guillotine) *Length { return &g.MinCut },
				"smallest side of a piece that the clamp holds"),
			need("lift", someLength, func(g *Guillotine) *Length { return &g.Lift }, "height of a pile"),
			need("setup", duration, func(g *Guillotine) *time.Duration { return &g.Setup }, "of a job, with its program"),
			need("load", duration, func(g *Guillotine) *time.Duration { return &g.Load },
				"of a lift: load, jog, unload"),
			need("cut", duration, func(g *Guillotine) *time.Duration { return &g.Cut }, "one cut"),
			need("waste", waste("sheets", "cut"), func(g *Guillotine) *Spoilage { return &g.Spoilage },
				"sheets that are spoilt"),
		}),
		senses: []sense[Guillotine]{{"min cut", func(g *Guillotine) string {
			if g.MinCut >= min(g.MaxWidth, g.MaxDepth) {
				return "the smallest piece is as large as the machine"
			}
			return ""
		}}},
		mark: func(g *Guillotine) *Mark { return &g.Mark },
	}
}

func folderSchema() schema[Folder] {
	return schema[Folder]{
		name: "folder",
		keys: machineKeys(func(f *Folder) *Machine { return &f.Machine }, []key[Folder]{
			need("min sheet", size, func(f *Folder) *Size { return &f.MinSheet }, "smallest open sheet"),
			need("max sheet", size, func(f *Folder) *Size { return &f.MaxSheet }, "largest open sheet"),
			need("grammage", grammages, func(f *Folder) *Range { return &f.Grammage }, "sheets that it folds"),
			need("folds", values(entries("fold schemes", "", foldSchema(),
				func(*FoldScheme) string { return "" })),
				func(f *Folder) *[]FoldScheme { return &f.Catalog }, "what it is equipped to fold"),
			need("speed", byGrammage, func(f *Folder) *[]Step { return &f.Speed }, "by grammage"),
			need("setup", duration, func(f *Folder) *time.Duration { return &f.Setup }, "of a job"),
			need("setup per fold", duration, func(f *Folder) *time.Duration { return &f.SetupPerFold },
				"and for each fold beside"),
			may("creaser", yes, func(f *Folder) *bool { return &f.Creaser }, "whether it scores a sheet before it folds it"),
			need("waste", waste("sheets", "fold"), func(f *Folder) *Spoilage { return &f.Spoilage },
				"sheets that are spoilt"),
		}),
		senses: []sense[Folder]{
			{"min sheet", func(f *Folder) string { return smaller(f.MinSheet, f.MaxSheet) }},
			{"folds", func(f *Folder) string {
				seen := map[string]bool{}
				for _, s := range f.Catalog {
					if seen[s.Code] {
						return s.Code + " is listed twice"
					}
					seen[s.Code] = true
				}
				return ""
			}},
		},
		mark: func(f *Folder) *Mark { return &f.Mark },
	}
}

// foldCode is a code of the fold catalogue. The form is that of the published
// schema of the standard; X stands for an unknown scheme, which no folder has.
var foldCode = scalar("a fold catalogue code such as F16-6", func(_ *reader, text string) (string, *fault) {
	if pages := codePages(text); pages == 0 || strings.HasSuffix(text, "-X") {
		return "", badValue("it is not a code of the fold catalogue")
	}
	return text, nil
})

// codePages is the number of pages that a fold catalogue code states, or 0 for
// what is no code.
func codePages(code string) int {
	rest, ok := strings.CutPrefix(code, "F")
	pages, ordinal, dash := strings.Cut(rest, "-")
	n, err := strconv.ParseUint(pages, 10, 16)
	if !ok || !dash || err != nil {
		return 0
	}
	if _, err := strconv.ParseUint(ordinal, 10, 16); err != nil && ordinal != "X" {
		return 0
	}
	return int(n)
}

func foldSchema() schema[FoldScheme] {
	cells := count("a count such as 4", 1)
	return schema[FoldScheme]{
		name: "fold scheme",
		keys: []key[FoldScheme]{
			need("code", foldCode, func(f *FoldScheme) *string { return &f.Code }, "of the fold catalogue"),
			need("columns", cells, func(f *FoldScheme) *int { return &f.Columns }, "cells across the open sheet"),
			need("rows", cells, func(f *FoldScheme) *int { return &f.Rows }, "cells down the open sheet"),
			need("folds", count("a count such as 3", 0), func(f *FoldScheme) *int { return &f.Folds },
				"how many folds are made"),
			may("grammage", grammages, func(f *FoldScheme) *Range { return &f.Grammage },
				"sheets that this fold takes; those of the folder when not given"),
		},
		senses: []sense[FoldScheme]{
			{"columns", func(f *FoldScheme) string {
				if pages := codePages(f.Code); pages != f.Pages() {
					return fmt.Sprintf("%d x %d cells make %d pages, and %s has %d",
						f.Columns, f.Rows, f.Pages(), f.Code, pages)
				}
				return ""
			}},
			{"folds", func(f *FoldScheme) string {
				// A fold at most doubles the layers, and at least parts one row or column off.
				least := bits.Len(uint(f.Columns-1)) + bits.Len(uint(f.Rows-1))
				if most := f.Columns + f.Rows - 2; f.Folds < least || f.Folds > most {
					return fmt.Sprintf("%d x %d cells take %d to %d folds, not %d",
						f.Columns, f.Rows, least, most, f.Folds)
				}
				return ""
			}},
		},
		mark: func(f *FoldScheme) *Mark { return &f.Mark },
	}
}

// copySpeed is a whole number of copies an hour.
var copySpeed = scalar("a speed such as 7000 copies/h", func(_ *reader, text string) (int, *fault) {
	n, bad := positive(counted("copies/h").read(text))
	i, bad := whole(n, bad, "")
	if bad == nil && i > maxCount {
		bad = badSense("no machine is as fast")
	}
	return int(i), bad
})

func stitcherSchema() schema[Stitcher] {
	return schema[Stitcher]{
		name: "stitcher",
		keys: machineKeys(func(s *Stitcher) *Machine { return &s.Machine }, []key[Stitcher]{
			need("pages", pageRange, func(s *Stitcher) *IntRange { return &s.Pages }, "of the book, with cover"),
			need("thickness", calipers, func(s *Stitcher) *Range { return &s.Thickness }, "of the closed book"),
			need("min trim", size, func(s *Stitcher) *Size { return &s.MinTrim }, "smallest book, width x spine"),
			need("max trim", size, func(s *Stitcher) *Size { return &s.MaxTrim }, "largest book, width x spine"),
			may("max creep", length, func(s *Stitcher) *Length { return &s.MaxCreep },
				"push-out of the innermost sheet that is still trimmed well"),
			need("pockets", count("a count such as 6", 1), func(s *Stitcher) *int { return &s.Pockets },
				"feeders, the cover feeder among them"),
			need("speed", copySpeed, func(s *Stitcher) *int { return &s.Speed }, "of production"),
			need("setup", duration, func(s *Stitcher) *time.Duration { return &s.Setup }, "of a job"),
			need("setup per pocket", duration, func(s *Stitcher) *time.Duration { return &s.SetupPerPocket },
				"and for each feeder used"),
			need("lap", length, func(s *Stitcher) *Length { return &s.Lap }, "lip that opens a section"),
			need("wire price", money("a price such as 0.90 EUR per 1000 stitches", "per 1000 stitches"),
				func(s *Stitcher) *decimal.Decimal { return &s.WirePrice }, "of the stitches"),
			need("waste", waste("copies", "section"), func(s *Stitcher) *Spoilage { return &s.Spoilage },
				"pieces that are spoilt"),
		}),
		senses: []sense[Stitcher]{
			{"min trim", func(s *Stitcher) string { return smaller(s.MinTrim, s.MaxTrim) }},
		},
		mark: func(s *Stitcher) *Mark { return &s.Mark },
	}
}

func binderSchema() schema[Binder] {
	return schema[Binder]{
		name: "binder",
		keys: machineKeys(func(b *Binder) *Machine { return &b.Machine }, []key[Binder]{
			need("thickness", calipers, func(b *Binder) *Range { return &b.Thickness },
				"of the block, without cover"),
			may("cover", grammages, func(b *Binder) *Range { return &b.Cover }, "covers that it lays on"),
			need("min trim", size, func(b *Binder) *Size { return &b.MinTrim }, "smallest book, width x spine"),
			need("max trim", size, func(b *Binder) *Size { return &b.MaxTrim }, "largest book, width x spine"),
			need("stations", count("a count such as 12", 1), func(b *Binder) *int { return &b.Stations },
				"sections that are gathered in one pass"),
			need("speed", copySpeed, func(b *Binder) *int { return &b.Speed }, "of production"),
			need("setup", duration, func(b *Binder) *time.Duration { return &b.Setup }, "of a job"),
			need("setup per station", duration, func(b *Binder) *time.Duration { return &b.SetupPerStation },
				"and for each section"),
			need("glue price", money("a price such as 14.00 EUR per 1000 copies", "per 1000 copies"),
				func(b *Binder) *decimal.Decimal { return &b.GluePrice }, "of the spine glue"),
			need("waste", waste("copies", "section"), func(b *Binder) *Spoilage { return &b.Spoilage },
				"pieces that are spoilt"),
		}),
		senses: []sense[Binder]{
			{"min trim", func(b *Binder) string { return smaller(b.MinTrim, b.MaxTrim) }},
		},
		mark: func(b *Binder) *Mark { return &b.Mark },
	}
}
