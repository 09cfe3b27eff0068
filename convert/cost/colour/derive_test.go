package colour

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/validate/plant"
)

// Tone values follow from the densities of tint, solid and paper.
func TestIncreases(t *testing.T) {
	strip := func(white string) []Measurement {
		ms := append(along(Density, "Cyan", 1.45), along(Density, "Cyan", 0.55)...)
		ms = append(ms, along(Density, Paper, 0.07)...)
		ms[1].Nominal, ms[2].Nominal, ms[2].Zone = 50, 0, 9
		for i := range ms {
			ms[i].Conditions.White = white
		}
		return ms
	}
	of := func(ms []Measurement, c *plant.Colour) []float64 {
		runs, _ := Judge(ms, c, gloss)
		var all []float64
		for _, s := range runs[0].Series {
			if s.Kind == ToneIncrease {
				all = append(all, s.Points[0].Value)
			}
		}
		return all
	}
	c := *aims(t)
	require.InDelta(t, 19.796, of(strip(""), &c)[0], 5e-4)
	require.InDelta(t, 100*(1-math.Pow(10, -0.55))/(1-math.Pow(10, -1.45))-50, of(strip("Substrate"), &c)[0], 1e-6,
		"densities above the paper have it at zero")
	require.Empty(t, of(strip("")[:2], &c), "nobody knows the paper")
	require.Empty(t, of(strip("")[1:], &c), "nobody knows the solid")
	require.Contains(t, strings.Join(findings(strip("")[:2], &c), "\n"), "note audit/colour-no-paper: job \"J\" part "+
		"\"P\" sheet \"S1\" Front on \"offset-b2\": tints are measured, and not the paper beside them")
	require.Contains(t, strings.Join(findings(strip("")[1:], &c), "\n"), "and not the solid beside them")
	other := strip("")
	other[0].Zone = 4
	require.Len(t, of(other, &c), 1, "the solid of another zone serves")
	c.YuleNielsen = 1.7
	require.InDelta(t, 6.521, of(strip(""), &c)[0], 5e-4)
	told := append(strip(""), along(ToneIncrease, "Cyan", 12)...)
	require.Equal(t, []float64{12}, of(told, &c), "what the instrument tells goes first")
}

// The spread is of the deviations from the aims, at one tint.
func TestMidtoneSpread(t *testing.T) {
	sheet := func(c, m, y float64) []Measurement {
		all := along(ToneIncrease, "Cyan", c)
		all = append(all, along(ToneIncrease, "Magenta", m)...)
		return append(all, along(ToneIncrease, "Yellow", y)...)
	}
	of := func(ms []Measurement) *Series {
		runs, _ := Judge(ms, aims(t), gloss)
		for _, s := range runs[0].Series {
			if s.Kind == MidtoneSpread {
				return s
			}
		}
		return nil
	}
	s := of(sheet(16, 12, 15))
	require.InDelta(t, 4, s.Points[0].Value, 1e-9)
	require.Equal(t, Near, s.Verdict)
	require.Equal(t, Out, of(sheet(17, 11, 15)).Verdict)
	require.Nil(t, of(sheet(17, 11, 15)[:2]))
	dark := sheet(17, 11, 15)
	for i := range dark {
		dark[i].Nominal = 80
	}
	require.Nil(t, of(dark), "that is no midtone")
}

// Ink keys are held against their presetting.
func TestInkKeys(t *testing.T) {
	ms := along(InkZone, "Cyan", 30, 39, 41)
	preset := along(InkZone, "Cyan", 30)[0]
	preset.Usage, preset.Time, preset.Sheet = Preset, time.Time{}, Unknown
	for i := range ms {
		ms[i].Nominal = Unknown
	}
	preset.Nominal = Unknown
	s := only(t, append(ms, preset), aims(t))
	require.Equal(t, []any{Presetting, 30.0, 1, 1, 1}, []any{s.Against, s.Target, s.In, s.Near, s.Out})
	alone, found := Judge([]Measurement{preset}, aims(t), gloss)
	require.Empty(t, found)
	require.Empty(t, alone[0].Series)
}
