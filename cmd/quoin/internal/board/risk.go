package board

import (
	"time"

	"quoin/cmd/quoin/internal/works"
)

// standing says how a ticket stands to its due time.
type standing struct {
	Kind string // late, risk, ok, or "" where there is nothing to say
	Text string
}

// soon is how near the due time of a ticket without a plan has to be to be told.
const soon = 48 * time.Hour

// judge tells how a ticket stands at a moment. A plan that has fallen behind is
// taken to end as much later as the step that is furthest behind.
func judge(k *works.Ticket, steps []*works.Step, now time.Time) standing {
	switch {
	case k.Due.IsZero() || k.State == works.Refused || k.State == works.Removed || k.Outcome == works.Aborted:
		return standing{}
	case k.Outcome == works.Done:
		return finished(k, steps)
	case now.After(k.Due):
		return standing{"late", "late by " + spanned(now.Sub(k.Due))}
	}
	behind := behindPlan(steps, now)
	switch end := k.End.Add(behind); {
	case k.End.IsZero() && k.Due.Sub(now) < soon:
		return standing{"risk", "at risk: due in " + spanned(k.Due.Sub(now)) + " and not planned"}
	case k.End.IsZero():
		return standing{}
	case k.End.After(k.Due):
		return standing{"risk", "at risk: planned to end " + spanned(k.End.Sub(k.Due)) + " after it is due"}
	case end.After(k.Due):
		return standing{"risk", "at risk: " + spanned(behind) + " behind the plan"}
	case behind >= 15*time.Minute:
		return standing{"ok", "in time, though " + spanned(behind) + " behind the plan"}
	default:
		return standing{"ok", "in time, " + spanned(k.Due.Sub(end)) + " to spare"}
	}
}

// finished tells how a job that is done stood to its due time when its last step
// ended.
func finished(k *works.Ticket, steps []*works.Step) standing {
	var end time.Time
	for _, s := range steps {
		if s.Ended.After(end) {
			end = s.Ended
		}
	}
	switch {
	case end.IsZero():
		return standing{}
	case end.After(k.Due):
		return standing{"late", "done " + spanned(end.Sub(k.Due)) + " late"}
	}
	return standing{"ok", "done " + spanned(k.Due.Sub(end)) + " before it was due"}
}

// behindPlan is how far the step that is furthest behind should be by now: over its
// planned end, or not begun at its planned start.
func behindPlan(steps []*works.Step, now time.Time) time.Duration {
	var most time.Duration
	for _, s := range steps {
		if s.State.Over() || s.Start.IsZero() {
			continue
		}
		by := now.Sub(s.End)
		switch {
		case s.Began.IsZero():
			by = max(by, now.Sub(s.Start))
		case s.State.Begun():
			by = max(by, s.Began.Sub(s.Start))
		}
		most = max(most, by)
	}
	return most.Truncate(time.Minute)
}

// ofPlan counts how many steps are done.
func ofPlan(steps []*works.Step) (done, all int) {
	for _, s := range steps {
		if s.State == works.StepCancelled {
			continue
		}
		all++
		if s.State == works.StepDone {
			done++
		}
	}
	return done, all
}
