package colour

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// Summary is how the points of a job on a device came out on one day.
type Summary struct {
	Job       string `json:"job"`
	Device    string `json:"device"`
	Day       string `json:"day"` // as in 2026-11-25, "" where no time is known
	In        int    `json:"in"`
	Near      int    `json:"near"`
	Out       int    `json:"out"`
	NotJudged int    `json:"notJudged"`
	Drifting  int    `json:"drifting"` // series that are, counted on the day of their last point

	// Worst is the largest deviation as a share of its tolerance, in percent.
	Worst   float64 `json:"worst"`
	WorstOf string  `json:"worstOf,omitempty"` // the series that it is of
}

// Summarise counts the points of runs by job, device and day, in that order.
// Days are those of the zone, UTC where it is nil.
func Summarise(runs []*Run, zone *time.Location) []Summary {
	if zone == nil {
		zone = time.UTC
	}
	day := func(p *Point) string {
		if p.Time.IsZero() {
			return ""
		}
		return p.Time.In(zone).Format(time.DateOnly)
	}
	sums := map[[3]string]*Summary{}
	at := func(r *Run, day string) *Summary {
		k := [3]string{r.Job, r.Device, day}
		if sums[k] == nil {
			sums[k] = &Summary{Job: r.Job, Device: r.Device, Day: day}
		}
		return sums[k]
	}
	for _, r := range runs {
		for _, s := range r.Series {
			for i := range s.Points {
				at(r, day(&s.Points[i])).count(s, &s.Points[i])
			}
			if s.Drift != nil {
				at(r, day(&s.Points[len(s.Points)-1])).Drifting++
			}
		}
	}
	var all []Summary
	for _, s := range sums {
		all = append(all, *s)
	}
	slices.SortFunc(all, func(a, b Summary) int {
		return cmp.Or(cmp.Compare(a.Job, b.Job), cmp.Compare(a.Device, b.Device), cmp.Compare(a.Day, b.Day))
	})
	return all
}

func (s *Summary) count(of *Series, p *Point) {
	switch p.Verdict {
	case In:
		s.In++
	case Near:
		s.Near++
	case Out:
		s.Out++
	default:
		s.NotJudged++
		return
	}
	if share := 100 * math.Abs(p.Deviation) / p.Tolerance; share > s.Worst {
		s.Worst, s.WorstOf = share, of.name()
	}
}
