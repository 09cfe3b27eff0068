package plan

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/jdf/job"
	"quoin/validate/plant"
)

// withFinishing gives the tiny plant a laminator for one side, a varnishing
// machine, a platen and a bench.
func withFinishing(p *plant.Plant) *plant.Plant {
	centre := p.Presses[0].CostCentre
	machine := func(id string) plant.Machine { return plant.Machine{ID: id, Name: id, CostCentre: centre} }
	step := func(v string) []plant.Step { return []plant.Step{{Value: dec(v)}} }
	p.Laminators = []*plant.Laminator{{
		Machine: machine("laminator"), MinWidth: 200 * mm, MaxWidth: 460 * mm, Films: []string{"gloss", "matt"},
		Speed: plant.Pace{Metres: dec("20")}, Setup: 15 * time.Minute, FilmPrice: dec("0.21"),
		Spoilage: plant.Spoilage{Setup: 10, SetupPerUnit: 5, Running: step("1")},
	}}
	p.Coaters = []*plant.Coater{{
		Machine: machine("varnisher"), MinSheet: size(200, 150), MaxSheet: size(600, 450), Coatings: []string{"aqueous"},
		Speed: step("3000"), Setup: 20 * time.Minute, CoatingFilm: dec("4"), CoatingPrice: dec("6.50"),
		Spoilage: plant.Spoilage{Setup: 20, SetupPerUnit: 5, Running: step("0.5")},
	}}
	p.DieCutters = []*plant.DieCutter{{
		Machine: machine("platen"), MinSheet: size(200, 150), MaxSheet: size(640, 460), Gripper: 14 * mm,
		Speed: step("2500"), Setup: 30 * time.Minute, DiePrice: dec("95"),
		Spoilage: plant.Spoilage{Setup: 30, Running: step("2")},
	}}
	p.HandWork = []*plant.HandWork{
		{Machine: machine("bench"), Task: "Inserting", PerThousand: 100 * time.Minute, Setup: 6 * time.Minute},
	}
	return p
}

// wants is what a job asks for beside printing and cutting.
type wants struct {
	films, coats int // sides
	die, hand    bool
}

// lead is the unprinted edge that press and platen leave together.
func (x wants) lead(press float64) float64 {
	if x.die {
		return max(press, 14)
	}
	return press
}

// finishable reports whether all machines behind the press take the sheet.
func (n naive) finishable() bool {
	w, h := n.sheet[0], n.sheet[1]
	fits := func(a, b, leastA, leastB, mostA, mostB int64) bool {
		return a >= leastA && b >= leastB && a <= mostA && b <= mostB
	}
	switch {
	case n.wants.films > 0 && n.metres() == 0:
		return false
	case n.wants.coats > 0 && !fits(w, h, 2000, 1500, 6000, 4500) && !fits(h, w, 2000, 1500, 6000, 4500):
		return false
	}
	return !n.wants.die || fits(w, h, 2000, 1500, 6400, 4600)
}

// metres is the shorter way of the sheet through the laminator, in tenths of a
// millimetre, 0 where neither edge lies within its width.
func (n naive) metres() int64 {
	best := int64(0)
	for _, s := range [][2]int64{{n.sheet[0], n.sheet[1]}, {n.sheet[1], n.sheet[0]}} {
		if s[0] >= 2000 && s[0] <= 4600 && (best == 0 || s[1] < best) {
			best = s[1]
		}
	}
	return best
}

// behindPress works back from the pieces to the sheets that leave the press, with
// the cents of all that comes behind it.
func (n naive) behindPress() (sheets, cost int64) {
	m2 := rat(n.sheet[0]*n.sheet[1], 100_000_000)
	sheets = n.sheets()
	if n.wants.hand {
		cost += timeCost(360, int64(n.quantity)*6)
	}
	if n.wants.die {
		cost += 9500
		good := up(sheets, 20)
		cost += timeCost(1800, secs(good, 2500))
		sheets = good + 30
	} else {
		sheets = up(sheets, 5)
		cost += knife(sheets, n.caliper(), int64(n.cuts))
	}
	for range n.wants.coats {
		good := up(sheets, 5)
		cost += timeCost(1200, secs(good, 3000))
		sheets = good + 25
		cost += cents(mul(m2, ratOf("4"), rat(sheets, 1000), ratOf("6.50")))
	}
	for range n.wants.films {
		good := up(sheets, 10)
		// 20 m a minute, in sheets an hour.
		run := mul(rat(good, 1), rat(n.metres(), 10_000), rat(60, 20))
		seconds := cents(mul(run, rat(1, 100))) // halves up
		cost += timeCost(900, seconds)
		sheets = good + 15
		cost += cents(mul(m2, rat(sheets, 1), ratOf("0.21")))
	}
	return sheets, cost
}

// TestFinishBruteForce compares plans with film, coating, die and hand work with
// everything tried by plain arithmetic.
func TestFinishBruteForce(t *testing.T) {
	p := withFinishing(tinyPlant())
	rng := rand.New(rand.NewPCG(29, 5))
	colors := [][]string{{"Black"}, {"Black", "Red"}, {"Cyan", "Magenta", "Yellow", "Black"}}
	seen := map[string]int{}
	for range 400 {
		w, h := int64(50+rng.IntN(200)), int64(50+rng.IntN(250))
		quantity := 1 + rng.IntN(1<<(2+rng.IntN(13)))
		front, back := colors[rng.IntN(len(colors))], [][]string{nil, colors[rng.IntN(len(colors))]}[rng.IntN(2)]
		x := wants{films: rng.IntN(3), coats: rng.IntN(3), die: rng.IntN(2) == 0, hand: rng.IntN(2) == 0}
		j := flatJob(float64(w), float64(h), quantity, front, back)
		ask(j, x)
		name := fmt.Sprintf("%d x %d mm, %d copies, %d/%d, %+v", w, h, quantity, len(front), len(back), x)
		want, possible := cheapest(p, w, h, quantity, front, back, x)
		pl, findings := Make(j, p, Options{})
		if !possible {
			require.Nil(t, pl, name)
			require.NotEmpty(t, findings, name)
			continue
		}
		require.NotNil(t, pl, name)
		require.Equal(t, want, pl.Totals.Cost.Shift(2).IntPart(), "%s: %s", name, pl.Sheets[0].Style)
		for _, o := range pl.Operations {
			seen[string(o.Step)]++
		}
	}
	for _, s := range []Step{StepLaminate, StepVarnish, StepDieCut, StepCut, StepHand} {
		require.Greater(t, seen[string(s)], 40, s)
	}
}

// ask puts wishes into a job of one flat product.
func ask(j *job.Job, x wants) {
	p := j.Products[0]
	if x.films > 0 {
		p.Lamination.Surface = given([]string{"", "Front", "Both"}[x.films])
	}
	if x.coats > 0 {
		p.Front.Coatings = given([]string{"Aqueous"})
	}
	if x.coats > 1 {
		p.Back.Coatings = given([]string{"Aqueous"})
	}
	if x.die {
		j.Operations = append(j.Operations, &job.Operation{Type: "ShapeCutting"})
	}
	if x.hand {
		j.Operations = append(j.Operations, &job.Operation{Type: "Inserting"})
	}
}
