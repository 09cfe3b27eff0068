package board

import (
	"fmt"
	"strings"
)

// A glyph is a shape that goes with a word. Outline is drawn as a line, Solid is
// filled; the shapes differ in outline, so that they are told apart in black and
// white. They are drawn on 16 by 16.
type glyph struct{ Outline, Solid string }

// The parts that shapes are made of: a sheet, a register mark, a pair of cylinders.
const (
	sheet     = "M3.5 1.5h6l3 3v10h-9z"
	dashed    = "M3.5 1.5h2M8 1.5h1.5l1 1M12.5 4.5v2M12.5 9v2M12.5 13.5v1h-2M8 14.5h-2M3.5 14.5v-2M3.5 10v-2M3.5 5.5v-2"
	ring      = "M8 2a6 6 0 1 0 0 12a6 6 0 1 0 0-12z"
	cylinders = "M5 3.5a4 4 0 1 0 .01 0zM12.5 7a2.5 2.5 0 1 0 .01 0z"
	triangle  = "M8 1.5L15 14H1z"
	octagon   = "M5.5 1.5h5l4 4v5l-4 4h-5l-4-4v-5z"
)

var glyphs = map[string]glyph{
	// Of tickets.
	"received":  {Outline: sheet + "M8 6v5M5.8 9L8 11.2L10.2 9"},
	"refused":   {Outline: octagon + "M5 5l6 6M11 5l-6 6"},
	"accepted":  {Outline: sheet + "M5.5 8.5l2 2l3.2-4"},
	"planned":   {Outline: "M1.5 2.5h13v11h-13zM8 2.5v11M1.5 8h13"},
	"released":  {Outline: "M1.5 3.5h7v9h-7zM10.5 8h4.5M12.8 5.5L15.2 8l-2.4 2.5"},
	"returned":  {Outline: "M7.5 3.5h7v9h-7zM5.5 8H1M3.2 5.5L.8 8l2.4 2.5"},
	"removed":   {Outline: dashed},
	"aborted":   {Solid: octagon},
	"held":      {Solid: "M3.5 2h3.2v12H3.5zM9.3 2h3.2v12H9.3z"},
	"suspended": {Outline: ring + "M6.3 5v6M9.7 5v6"},

	// Of steps and devices.
	"waiting":   {Outline: ring},
	"ready":     {Outline: ring, Solid: "M8 6a2 2 0 1 0 .01 0z"},
	"sent":      {Outline: "M1 8h11M8.5 4L12.8 8l-4.3 4M15 3v10"},
	"makeready": {Outline: "M8 4a4 4 0 1 0 .01 0zM8 .5v15M.5 8h15"},
	"running":   {Solid: cylinders},
	"run":       {Solid: cylinders},
	"wash-up":   {Outline: "M8 1.5c3 4 4.5 6 4.5 8.3a4.5 4.5 0 0 1-9 0C3.5 7.500 5 5.500 8 1.5z"},
	"idle":      {Outline: cylinders},
	"stopped":   {Solid: "M2.5 2.5h11v11h-11z"},
	"off":       {Outline: ring + "M4 12L12 4"},
	"done":      {Solid: "M1.500 8.500l2.200-2.200l2.800 2.800l6-6.600l2.200 2.100l-8.200 9z"},
	"failed":    {Outline: triangle + "M8 6v4", Solid: "M7.200 11.300h1.600v1.500H7.200z"},
	"cancelled": {Outline: dashed + "M5.500 6l5 5M10.500 6l-5 5"},
	"unknown": {Outline: "M5 5.500a3 3 0 1 1 4.500 2.600c-1 .6-1.500 1.200-1.500 2.400",
		Solid: "M7.200 12.200h1.600v1.600H7.200z"},

	// Of deliveries and background work.
	"delivered": {Outline: "M1.500 5.500h13v9h-13zM4.500 9.800l2.300 2.300l4.700-4.700M4 5.500l1.500-4h5l1.500 4"},
	"dead":      {Outline: "M1.500 5.500h13v9h-13zM5.500 8l5 4M10.500 8l-5 4M4 5.500l1.500-4h5l1.500 4"},
	"discarded": {Outline: dashed},
	"leased":    {Solid: cylinders},

	// Of alerts and findings.
	"open":         {Outline: "M3 15V1.500M3 2h10l-2.500 3.500L13 9H3"},
	"acknowledged": {Solid: "M2.300 1.500h1.400V15H2.300zM3 2h10l-2.500 3.500L13 9H3z"},
	"closed":       {Outline: "M3 15V1.500M3 9h4"},
	"note":         {Outline: ring + "M8 7.200v4", Solid: "M7.200 4.300h1.600v1.600H7.200z"},
	"warning":      {Outline: triangle + "M8 6v4", Solid: "M7.200 11.300h1.600v1.500H7.200z"},
	"error":        {Outline: octagon + "M8 4v5", Solid: "M7.100 10.500h1.800v1.800H7.100z"},
	"late":         {Outline: ring, Solid: "M8 2a6 6 0 0 1 0 12z"},
	"risk":         {Outline: ring + "M8 4.500V8l2.500 2"},
	"ok":           {Outline: ring + "M5 8.200l2.200 2.200L11 6"},
}

// glyphOf gives the shape for a word, that of the unknown for one that has none.
func glyphOf(v any) glyph {
	if g, ok := glyphs[strings.ToLower(fmt.Sprint(v))]; ok {
		return g
	}
	return glyphs["unknown"]
}
