package learn

import (
	"bytes"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// From memory: Hollander and Wolfe, Nonparametric Statistical Methods, examples 3.3
// and 3.4, the depression scores of nine patients before and after treatment:
// the estimate is -0.46, and with 96.1 percent the interval -0.786 to -0.010.
func TestHodgesLehmannAsPublished(t *testing.T) {
	before := []float64{1.83, 0.50, 1.62, 2.48, 1.68, 1.88, 1.55, 3.06, 1.30}
	after := []float64{0.878, 0.647, 0.598, 2.05, 1.06, 1.29, 1.06, 3.14, 1.29}
	var diffs []float64
	for i := range before {
		diffs = append(diffs, after[i]-before[i])
	}
	e, ok := hodgesLehmann(diffs, 0.96)
	require.True(t, ok)
	require.InDelta(t, -0.46, e.Middle, 0.0005)
	require.InDelta(t, -0.786, e.Low, 0.0005)
	require.InDelta(t, -0.010, e.High, 0.0005)
}

// From memory: tables of the signed-rank test: two-sided at 5 percent the sums up to
// 0 for 6, 8 for 10, 52 for 20 and 137 for 30 are significant.
func TestSignedRankTable(t *testing.T) {
	for n, critical := range map[int]int{6: 0, 10: 8, 20: 52, 30: 137} {
		require.Equal(t, critical+1, signedRankTail(n, 0.025), n)
	}
	require.Zero(t, signedRankTail(5, 0.025))
	near := signedRankTail(exactUpTo, 0.025)
	require.InDelta(t, near, signedRankTail(exactUpTo+1, 0.025), 35)
}

// From memory: Hollander and Wolfe, example 4.1, permeability of membranes at term and
// earlier: 35 of 50 pairs; one-sided exactly 0.1272.
func TestMannWhitneyAsPublished(t *testing.T) {
	pairs, chance := mannWhitney([]float64{0.80, 0.83, 1.89, 1.04, 1.45, 1.38, 1.91, 1.64, 0.73, 1.46},
		[]float64{1.15, 0.88, 0.90, 0.74, 1.21})
	require.Equal(t, 35.0, pairs)
	require.InDelta(t, 2*0.1272, chance, 0.01)
}

// The interval holds the truth as often as it says, whatever the distribution.
func TestIntervalHolds(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	draws := map[string]func() float64{
		"normal":  r.NormFloat64,
		"uniform": func() float64 { return r.Float64() - 0.5 },
		"heavy":   func() float64 { return math.Tan(math.Pi * (r.Float64() - 0.5)) },
	}
	for _, name := range []string{"normal", "uniform", "heavy"} {
		for _, n := range []int{12, 40, 80} {
			const rounds = 1500
			held := 0
			for range rounds {
				sample := make([]float64, n)
				for i := range sample {
					sample[i] = draws[name]()
				}
				if e, ok := hodgesLehmann(sample, 0.95); ok && e.Low <= 0 && e.High >= 0 {
					held++
				}
			}
			t.Logf("%s, %d: %d of %d", name, n, held, rounds)
			require.Greater(t, float64(held)/rounds, 0.95-3*0.0057)
			require.Less(t, float64(held)/rounds, 0.985)
		}
	}
}

func TestScaled(t *testing.T) {
	for _, c := range []struct {
		old    string
		factor float64
		whole  bool
		want   string
	}{
		{"12 min", 1.127, false, "13.5 min"}, {"10000 sheets/h", 1 / 1.22, false, "8200 sheets/h"},
		{"40 sheets", 1.16, true, "46 sheets"}, {"10 sheets", 1.03, true, "10 sheets"}, {"0.2 %", 1.16, false, "0.232 %"},
		{"0 min", 2, false, "0 min"}, {"1234 sheets", 1.5, true, "1850 sheets"},
	} {
		got, err := scaled(c.old, c.factor, c.whole)
		require.NoError(t, err)
		require.Equal(t, c.want, got)
	}
	_, err := scaled("many", 2, false)
	require.Error(t, err)
}

func TestEditKeepsAllElse(t *testing.T) {
	src := "presses:\r\n  - {id: ä, setup: 5 min, speed: 100 /h}   # Grüße\r\n  - id: b\r\n    setup: \"7 min\"\r\n"
	x := newText("f", []byte(src))
	require.NoError(t, x.bad)
	a := x.entries["ä"]
	out, err := x.apply([]edit{{value(a, "setup"), "6.5 min", "one"}, {value(a, "speed"), "90 /h", "one"}})
	require.NoError(t, err)
	want := strings.Replace(src, "5 min, speed: 100 /h}   # Grüße", "6.5 min, speed: 90 /h}   # Grüße; one", 1)
	require.Equal(t, want, string(out))
	_, err = x.apply([]edit{{value(x.entries["b"], "setup"), "8 min", "one"}})
	require.EqualError(t, err, `f:4: "7 min" is not written plainly, and is left to you`)
}

// Whatever the file, an edit changes what it is for, or is refused.
func FuzzEdit(f *testing.F) {
	f.Add("folders:\n  - id: f\n    setup: 5 min # x\n    speed:\n      above: 70 /h\n", 1.3)
	f.Add("presses: [{id: ü, makeready: 12 min, makeready tasks: [{name: a, time: 5 min}]}]", 0.8)
	f.Add("a:\n- id: f\n  setup: 5\n    min\n  cut: &x 15 s\n  load: *x\n", 2.0)
	f.Fuzz(func(t *testing.T, src string, factor float64) {
		x := newText("f.yaml", []byte(src))
		if x.bad != nil {
			return
		}
		var edits []edit
		for _, d := range x.devices {
			for _, q := range quantities {
				for _, fig := range x.figuresOf(d, q, "") {
					to, err := scaled(fig.node.Value, factor, fig.whole)
					if err == nil && to != fig.node.Value {
						edits = append(edits, edit{fig.node, to, "learned"})
					}
				}
			}
		}
		out, err := x.apply(edits)
		if err != nil {
			return
		}
		if bytes.Count(out, []byte("\n")) != bytes.Count([]byte(src), []byte("\n")) {
			t.Fatalf("lines of %q have become others: %q", src, out)
		}
		diff("f.yaml", []byte(src), out)
	})
}
