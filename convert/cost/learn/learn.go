package learn

import (
	"errors"
	"fmt"
	"iter"
	"math"
	"slices"
	"time"

	"quoin/convert/cost"
	"quoin/validate/plant"
)

// TooWide is the ratio of the ends of an interval over which nothing is
// proposed: what is known no better than that is not known.
const TooWide = 1.35

// LeastJobs is how many jobs have to be seen before a figure is learned.
const LeastJobs = 10

// History is what is learned from.
type History struct {
	Tasks   []cost.Task          // planned
	Entries iter.Seq[cost.Entry] // that happened; read once
	Trouble map[string]bool      // jobs that had trouble with colour, which teach nothing; may be nil
}

// Options are how it is learned. The zero Options hold back a quarter of the
// days, with a confidence of 95 percent.
type Options struct {
	Hold       time.Duration // of the end of the history, whose jobs teach nothing
	Share      float64       // of the history to hold, where Hold is 0; 0 means 0.25
	Confidence float64       // that nothing is proposed where nothing deviates, in percent; 0 means 95
}

// Lesson is what was learned.
type Lesson struct {
	From       time.Time  `json:"from"`
	Cut        time.Time  `json:"cut"` // jobs that end after it are held out
	To         time.Time  `json:"to"`
	Jobs       int        `json:"jobs"` // that taught
	Held       int        `json:"held"` // jobs that did not, for the comparison
	Confidence float64    `json:"confidence"`
	Tests      int        `json:"tests"` // figures with enough jobs, that share the chance of a mistake
	Left       Left       `json:"left"`
	Findings   []*Finding `json:"findings"`
	Errors     []Error    `json:"errors"`
	Diff       string     `json:"diff"`
	Proposed   []byte     `json:"-"` // the whole plant file; nil where nothing is proposed
}

// Left counts the tasks that did not teach.
type Left struct {
	Rework  int `json:"rework"`
	Open    int `json:"open"`
	Colour  int `json:"colour"`
	Odd     int `json:"odd"`     // figures beyond Implausible
	Stopped int `json:"stopped"` // that stood still longer than they ran, for their waste
	Outside int `json:"outside"` // on devices that the plant file has not
}

// Finding is what was learned of one figure of one device. Ratios are actual
// over planned.
type Finding struct {
	Device   string   `json:"device"`
	Quantity Quantity `json:"quantity"`
	Band     string   `json:"band,omitempty"` // of the table, such as "up to 170 g/m2"; "" for all
	Jobs     int      `json:"jobs"`
	Estimate Estimate `json:"estimate"`
	Factor   float64  `json:"factor,omitempty"` // that is proposed; 0 for none
	Why      string   `json:"why"`              // it is proposed, or not
	Class    *Class   `json:"class,omitempty"`  // of work that differs from the rest
	Trial    *Trial   `json:"trial,omitempty"`  // of what would be proposed; nil where nothing would
	Changes  []Change `json:"changes,omitempty"`
}

// Learn learns from a history. The plant file is src, read from path, and is not
// changed. The error says why nothing can be learned.
func Learn(path string, src []byte, p *plant.Plant, h History, o Options) (*Lesson, error) {
	if o.Share == 0 {
		o.Share = 0.25
	}
	if o.Confidence == 0 {
		o.Confidence = 95
	}
	if !(o.Confidence >= 50 && o.Confidence < 100) || !(o.Share > 0 && o.Share < 1) || o.Hold < 0 {
		return nil, errors.New("confidence is to be from 50 to below 100 percent, and the share held out between 0 and 100")
	}
	if len(h.Tasks) == 0 {
		return nil, errors.New("the ledger has no planned figures; " +
			"add plans with `quoin collect --ledger LEDGER --plan FOLDER` to learn from the difference")
	}
	all := watch(h.Tasks, h.Entries)
	if len(all) == 0 {
		return nil, errors.New("nothing in the ledger was done for a task that has a plan; " +
			"job, part and device of plan and report have to be the same")
	}
	l := &Lesson{Confidence: o.Confidence}
	taught, held := l.part(all, o)
	s := &study{lesson: l, plant: newText(path, src)}
	if s.plant.bad != nil {
		return nil, s.plant.bad
	}
	s.gather(taught, h.Trouble)
	if l.Jobs < LeastJobs {
		return nil, fmt.Errorf("only %d jobs with plan and report are older than the held-out ones; want at least %d",
			l.Jobs, LeastJobs)
	}
	s.judge()
	if err := s.propose(p); err != nil {
		return nil, err
	}
	l.compare(held)
	return l, nil
}

// part splits the tasks by job: those whose last work is before the cut teach.
func (l *Lesson) part(all []*seen, o Options) (taught, held []*seen) {
	ends := map[string]time.Time{}
	for _, s := range all {
		if l.From.IsZero() || s.first.Before(l.From) {
			l.From = s.first
		}
		if s.last.After(l.To) {
			l.To = s.last
		}
		if s.last.After(ends[s.task.Job]) {
			ends[s.task.Job] = s.last
		}
	}
	hold := o.Hold
	if hold == 0 {
		hold = time.Duration(float64(l.To.Sub(l.From)) * o.Share)
	}
	l.Cut = l.To.Add(-hold).Truncate(time.Second)
	for _, s := range all {
		if ends[s.task.Job].After(l.Cut) {
			held = append(held, s)
		} else {
			taught = append(taught, s)
		}
	}
	l.Jobs, l.Held = countJobs(taught), countJobs(held)
	return taught, held
}

func countJobs(all []*seen) int {
	jobs := map[string]bool{}
	for _, s := range all {
		jobs[s.task.Job] = true
	}
	return len(jobs)
}

// sample is the ratios of one figure.
type sample struct {
	device   string
	quantity Quantity
	logs     []float64
	of       []*seen
}

func (s *sample) jobs() int { return countJobs(s.of) }

// only is the part of a sample that a test takes, and the rest.
func (s *sample) only(take func(*seen) bool) (in, out *sample) {
	in, out = &sample{device: s.device, quantity: s.quantity}, &sample{device: s.device, quantity: s.quantity}
	for i, one := range s.of {
		to := out
		if take(one) {
			to = in
		}
		to.logs, to.of = append(to.logs, s.logs[i]), append(to.of, one)
	}
	return in, out
}

// ratio is the estimate of a sample as a ratio.
func (s *sample) ratio(level float64) (Estimate, bool) {
	e, ok := hodgesLehmann(s.logs, level)
	e.Middle, e.Low, e.High = math.Exp(e.Middle), math.Exp(e.Low), math.Exp(e.High)
	return e, ok && s.jobs() >= LeastJobs
}

// study is a lesson in the making.
type study struct {
	lesson  *Lesson
	plant   *text
	samples []*sample
	level   float64
}

// gather sorts what teaches by device and quantity.
func (s *study) gather(taught []*seen, trouble map[string]bool) {
	rework := map[string]bool{}
	for _, one := range taught {
		rework[one.task.Job] = rework[one.task.Job] || one.rework
	}
	byDevice := map[string][]*seen{}
	left := &s.lesson.Left
	for _, one := range taught {
		switch {
		case !s.plant.has(one.task.Device):
			left.Outside++
		case rework[one.task.Job]:
			left.Rework++
		case trouble[one.task.Job]:
			left.Colour++
		case one.open:
			left.Open++
		default:
			if one.stops > one.times[1] {
				left.Stopped++
			}
			byDevice[one.task.Device] = append(byDevice[one.task.Device], one)
		}
	}
	for _, device := range s.plant.devices {
		for _, q := range quantities {
			made := &sample{device: device, quantity: q}
			for _, one := range byDevice[device] {
				log, known, odd := one.ratio(q)
				if odd {
					left.Odd++
				}
				if known {
					made.logs, made.of = append(made.logs, log), append(made.of, one)
				}
			}
			if len(made.of) > 0 {
				s.samples = append(s.samples, made)
			}
		}
	}
	for _, m := range s.samples {
		if m.jobs() >= LeastJobs {
			s.lesson.Tests++
		}
	}
	s.level = 1 - (1-s.lesson.Confidence/100)/float64(max(1, s.lesson.Tests))
}

// judge says of each sample what it teaches.
func (s *study) judge() {
	for _, m := range s.samples {
		bands := s.bands(m)
		for _, b := range bands {
			s.lesson.Findings = append(s.lesson.Findings, s.finding(b.sample, b.name))
		}
	}
}

// band is a step of a table with what was seen in it.
type band struct {
	name   string
	sample *sample
}

// bands is one for all, or one for each step of a speed by grammage whose
// intervals tell two of them apart.
func (s *study) bands(m *sample) []band {
	all := []band{{"", m}}
	if m.quantity != Run {
		return all
	}
	var parted []band
	rest, low, high := m, math.Inf(1), math.Inf(-1)
	for _, step := range s.plant.steps(m.device, "speed") {
		var in *sample
		in, rest = rest.only(func(one *seen) bool {
			g := one.task.Class.Grammage
			return step.upTo.IsZero() || g.LessThanOrEqual(step.upTo)
		})
		if len(in.of) == 0 {
			continue
		}
		parted = append(parted, band{step.key, in})
		if e, ok := in.ratio(1 - (1-s.level)/2); ok {
			low, high = min(low, e.High), max(high, e.Low)
		}
	}
	if high > low {
		return parted
	}
	return all
}

// finding judges one figure.
func (s *study) finding(m *sample, name string) *Finding {
	level := s.level
	if name != "" {
		// The steps of a table are more tests than were counted.
		level = 1 - (1-level)/float64(max(1, len(s.plant.steps(m.device, "speed"))))
	}
	f := &Finding{Device: m.device, Quantity: m.quantity, Band: name, Jobs: m.jobs()}
	e, enough := m.ratio(level)
	f.Estimate = e
	if !enough {
		f.Why = fmt.Sprintf("not enough: %d jobs; at least %d are wanted, and as many as the interval takes",
			f.Jobs, LeastJobs)
		f.Estimate.Low, f.Estimate.High = 0, 0
		return f
	}
	var take func(*seen) bool
	f.Class, take = s.class(m)
	switch c := f.Class; {
	case c != nil && !(c.In.leaves() && c.Out.leaves() && (c.In.Middle > 1) == (c.Out.Middle > 1)):
		f.Why = "kept: only a class of work differs, which the plant file has no key for"
	case !e.leaves():
		f.Why = "kept: the interval takes in the present figure"
	case e.High/e.Low > TooWide:
		f.Why = "kept: the interval is too wide"
	case c != nil:
		f.Factor, f.Why = nearerOne(c.In.Middle, c.Out.Middle), "proposed: what both classes deviate by"
	default:
		f.Factor, f.Why = e.Middle, "proposed"
	}
	if f.Factor > 0 {
		if f.Trial = m.trial(take); !f.Trial.passed() {
			f.Factor, f.Why = 0, f.Trial.words()
		}
	}
	return f
}

// leaves reports whether the interval of a ratio leaves 1 out, by half a percent
// at least: less is not worth a change.
func (e Estimate) leaves() bool { return e.Low >= 1.005 || e.High > 0 && e.High <= 0.995 }

func nearerOne(a, b float64) float64 {
	both := []float64{a, b}
	slices.SortFunc(both, func(x, y float64) int {
		switch d := math.Abs(math.Log(x)) - math.Abs(math.Log(y)); {
		case d < 0:
			return -1
		case d > 0:
			return 1
		}
		return 0
	})
	return both[0]
}
