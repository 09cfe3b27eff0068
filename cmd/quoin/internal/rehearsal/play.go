package rehearsal

import (
	"math"
	"strconv"
	"time"

	"github.com/shopspring/decimal"

	"quoin/convert/plan"
	"quoin/jdf/job"
)

// The distributions that a step is drawn from, around its planned figures. They
// are made up; see Dice for what the words mean.
const (
	makereadySpread = 0.13 // of the factor of makeready time
	washSpread      = 0.15
	setupSpread     = 0.15 // of the factor of setup waste
	runningSpread   = 0.25 // of the factor of running waste
	slowest         = 0.90 // of planned speed
	fastest         = 1.03
	mostOver        = 0.03 // good sheets over those that are wanted
	spare           = 0.05 // paper that the store hands out over the plan
	stopSpread      = 0.6  // of the factor of a stop's usual length
)

// cause is a reason to stop. The words are those of StatusDetails.
//
// From memory: the names are examples of the standard's appendix on status
// details; how often and how long is made up.
type cause struct {
	reason string
	weight float64
	usual  time.Duration
}

// trouble is how often a kind of machine stops, and why.
type trouble struct {
	mean   time.Duration // of running time between two stops
	causes []cause
}

func troubles(k Kind) trouble {
	const m = time.Minute
	switch k {
	case Press:
		return trouble{100 * m, []cause{
			{"BlanketWash", 5, 4 * m}, {"PaperJam", 3, 6 * m}, {"WaitForApproval", 2, 15 * m},
			{"PlateChange", 1, 12 * m}, {"Failure", 0.5, 40 * m}, {"", 0.3, 5 * m},
		}}
	case Digital:
		return trouble{70 * m, []cause{{"PaperJam", 4, 4 * m}, {"ConsumablesExchange", 2, 7 * m}, {"Failure", 0.3, 45 * m}}}
	case Guillotine:
		return trouble{240 * m, []cause{{"KnifeChange", 2, 15 * m}, {"MissResources", 1, 10 * m}}}
	case Folder:
		return trouble{55 * m, []cause{{"PaperJam", 5, 5 * m}, {"DoubleFeed", 3, 3 * m}, {"OutputAreaFull", 1, 4 * m}}}
	case Stitcher, Binder:
		return trouble{60 * m, []cause{{"MissResources", 3, 12 * m}, {"DoubleFeed", 3, 4 * m}, {"Failure", 0.5, 30 * m}}}
	}
	return trouble{120 * m, []cause{{"Failure", 1, 15 * m}}}
}

// Play runs a step with what it is given to take, in the unit of its In. The
// phases have their lengths and no instants yet; see Place.
func Play(w Work, supply int, seed uint64, habits []Habit) *Act {
	d := Throw(seed, "step", w.Job, w.Part)
	habit := bent(habits, w)
	a := &Act{Work: w, Planned: Plan{
		plan.Time{Duration: w.Makeready}, plan.Time{Duration: w.Run}, plan.Time{Duration: w.WashUp},
	}}
	setup, good, bad := a.amounts(d, habit, supply)
	ready := seconds(float64(w.Makeready) * habit.Makeready * d.Factor(makereadySpread))
	if ready > 0 || setup > 0 {
		a.Phases = append(a.Phases, Phase{State: job.StateMakeready, length: max(time.Second, ready), Waste: setup * w.PerIn})
	}
	planned := float64(w.Out)/float64(w.PerIn) + float64(w.RunWaste)
	run := float64(w.Run) * habit.Run * float64(good+bad) / max(1, planned) / d.Between(slowest, fastest)
	a.run(d, max(time.Second, seconds(run)), good*w.PerIn, bad*w.PerIn)
	if wash := seconds(float64(w.WashUp) * habit.WashUp * d.Factor(washSpread)); wash > 0 {
		a.Phases = append(a.Phases, Phase{State: job.StateWash, length: wash})
	}
	a.Taken, a.Good, a.Waste = setup+good+bad, good*w.PerIn, (setup+bad)*w.PerIn
	a.use(d, setup+bad, good)
	a.measure(Throw(seed, "colour", w.Job, w.Part))
	return a
}

// amounts draws what the makeready spoils, and what comes out of the run good
// and bad, in the unit of what goes in. Paper comes from the store with a
// little to spare, and the run stops when enough is good; any other step works
// up all that it is handed.
func (a *Act) amounts(d *Dice, habit Habit, supply int) (setup, good, bad int) {
	rate := 0.0
	if made := a.Out / a.PerIn; made+a.RunWaste > 0 {
		rate = float64(a.RunWaste) / float64(made+a.RunWaste)
	}
	rate = min(0.5, rate*habit.Running*d.Factor(runningSpread))
	setup = int(math.Round(float64(a.SetupWaste) * habit.Setup * d.Factor(setupSpread)))
	over := d.Between(0, mostOver)
	if a.Paper {
		supply += int(math.Ceil(float64(supply) * spare))
	}
	setup = min(setup, supply/2)
	left := supply - setup
	good = int(float64(left) * (1 - rate))
	if want := int(math.Ceil(float64(a.Out) / float64(a.PerIn) * (1 + over))); a.Paper && good > want {
		good = want
		return setup, good, min(left-good, int(math.Round(float64(good)*rate/(1-rate))))
	}
	return setup, good, left - good
}

// run lays the run and its stops. What is made is spread evenly over the time
// at work.
func (a *Act) run(d *Dice, length time.Duration, good, bad int) {
	t := troubles(a.Kind)
	var done time.Duration
	made, spoiled := 0, 0
	for done < length {
		next := min(length, done+max(time.Second, seconds(d.Wait(float64(t.mean)))))
		share := float64(next) / float64(length)
		p := Phase{State: job.StateRun, length: next - done}
		p.Good, p.Waste = int(float64(good)*share)-made, int(float64(bad)*share)-spoiled
		if next == length {
			p.Good, p.Waste = good-made, bad-spoiled
		}
		made, spoiled, done = made+p.Good, spoiled+p.Waste, next
		a.Phases = append(a.Phases, p)
		if done == length {
			return
		}
		weights := make([]float64, len(t.causes))
		for i, c := range t.causes {
			weights[i] = c.weight
		}
		c := t.causes[d.Weighted(weights...)]
		stop := max(time.Second, seconds(float64(c.usual)*d.Factor(stopSpread)))
		a.Phases = append(a.Phases, Phase{State: job.StateStopped, Reason: c.reason, length: stop})
	}
}

// use notes the materials of the step, and what it made.
func (a *Act) use(d *Dice, bad, good int) {
	whole := func(n int) decimal.Decimal { return decimal.NewFromInt(int64(n)) }
	if a.Paper && a.Stock != "" {
		a.Uses = append(a.Uses, Use{
			Kind: "Media", Usage: "Input", ID: a.Stock, Lot: "L-" + strconv.Itoa(d.Whole(2100, 2199)),
			Good: whole(good), Waste: whole(bad),
		})
	}
	if a.Plates > 0 {
		plates := a.Plates
		if d.Chance(0.06) {
			plates++ // one was scratched, and made again
		}
		a.Uses = append(a.Uses, Use{Kind: "ExposedMedia", Usage: "Input", Good: whole(plates)})
	}
	for _, ink := range a.Inks {
		grams := ink.Grams.InexactFloat64() * float64(good+bad) / max(1, float64(a.In)) * d.Factor(0.08)
		a.Uses = append(a.Uses, Use{
			Kind: "Ink", Usage: "Input", Separation: ink.Name, Unit: "g", Good: whole(int(math.Round(grams))),
		})
	}
	a.Uses = append(a.Uses, Use{Kind: "Component", Usage: "Output", Good: whole(a.Good), Waste: whole(a.Waste)})
}

// seconds rounds a length of time to whole seconds.
func seconds(d float64) time.Duration { return time.Duration(d).Round(time.Second) }
