package rehearsal

import (
	"fmt"
	"time"

	"quoin/jdf/job"
)

// Place gives the phases of a step their instants, from a moment at which
// machine and material are ready. A makeready is done in one go and waits for a
// stretch that it fits into, unless none is long enough; all else may stop at
// the end of a shift and go on with the next, and a phase that does becomes two,
// with what was made shared between them. The error says that the plant is closed.
func (a *Act) Place(at time.Time, cal Calendar) error {
	placed, err := a.place(a.Phases, at.Truncate(time.Second), cal)
	if err != nil {
		return err
	}
	a.Phases = placed
	worker := 10 + 2*Throw(0, "operator", a.Device).Whole(0, 39) + cal.Shift(a.Start())%2
	a.Operator = fmt.Sprintf("P-%02d", worker)
	a.pulled()
	a.whole, a.pulls = a.Uses, a.Readings
	return nil
}

func (a *Act) place(phases []Phase, at time.Time, cal Calendar) ([]Phase, error) {
	var placed []Phase
	for _, p := range phases {
		open, err := a.open(p, at, cal)
		if err != nil {
			return nil, err
		}
		if open.From.After(at) {
			at = open.From
		}
		for {
			room := open.To.Sub(at)
			piece, left := p.cut(min(p.length, room))
			piece.Start, piece.End = at, at.Add(piece.length)
			placed, at, p = append(placed, piece), piece.End, left
			if p.length == 0 {
				break
			}
			if open, err = a.next(open.To, cal); err != nil {
				return nil, err
			}
			at = open.From
		}
	}
	return placed, nil
}

// cut parts a phase after a length of time, and what was made with it.
func (p Phase) cut(after time.Duration) (done, left Phase) {
	done, left = p, p
	if after >= p.length {
		left.length, left.Good, left.Waste = 0, 0, 0
		return done, left
	}
	share := float64(after) / float64(p.length)
	done.length, done.Good, done.Waste = after, int(float64(p.Good)*share), int(float64(p.Waste)*share)
	left.length, left.Good, left.Waste = p.length-after, p.Good-done.Good, p.Waste-done.Waste
	return done, left
}

// open is the stretch in which a phase can begin.
func (a *Act) open(p Phase, at time.Time, cal Calendar) (Stretch, error) {
	const tries = 12 // the stretches of a week, and more
	first, err := a.next(at, cal)
	if err != nil || p.State != job.StateMakeready {
		return first, err
	}
	open := first
	for range tries {
		from := open.From
		if at.After(from) {
			from = at
		}
		if open.To.Sub(from) >= p.length {
			return open, nil
		}
		if open, err = a.next(open.To, cal); err != nil {
			return first, err
		}
	}
	return first, nil
}

func (a *Act) next(at time.Time, cal Calendar) (Stretch, error) {
	s, ok := cal.Next(at)
	if !ok {
		return s, fmt.Errorf("place job %q on %q: its cost centre %q has no shift in the year from %s",
			a.Job, a.Device, a.Centre, at.Format(time.DateOnly))
	}
	return s, nil
}
