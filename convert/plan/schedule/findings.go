package schedule

import (
	"fmt"
	"slices"
	"time"

	"quoin/validate"
)

// findings are the jobs that are late, in the order in which they were given.
func (r *result) findings() []validate.Finding {
	var all []validate.Finding
	var relaxed *relief
	for j, w := range r.works {
		over := r.lateness(j)
		if over == 0 {
			continue
		}
		facts := []validate.Fact{
			validate.F("job", jobName(w.Plan)), validate.F("due", moment(r.at(r.problem.jobs[j].due))),
		}
		if earliest := r.bounds.jobs[j]; earliest > r.problem.jobs[j].due {
			if relaxed == nil {
				relaxed = r.relief()
			}
			all = append(all, late.At(w.Due.Place, append(facts, validate.F("earliest", moment(r.at(earliest))),
				validate.F("over", words(earliest-r.problem.jobs[j].due)), validate.F("help", relaxed.help(r, j)))...))
			continue
		}
		all = append(all, lateBehind.At(w.Due.Place, append(facts, validate.F("end", moment(r.at(r.timing.jobs[j]))),
			validate.F("over", words(over)), validate.F("wait", r.longestWait(j)))...))
	}
	return all
}

// longestWait says where a job stood longest behind another.
func (r *result) longestWait(j int) string {
	longest, at := int64(0), -1
	for _, x := range r.problem.jobs[j].tasks {
		p := r.prev[x]
		if p < 0 || r.tasks[p].job == j {
			continue
		}
		if wait := r.start[x] - r.sheets(x); wait > longest {
			longest, at = wait, x
		}
	}
	if at < 0 {
		return "its own operations wait for each other"
	}
	before := r.works[r.tasks[r.prev[at]].job].Plan
	return fmt.Sprintf("%q waits %s for machine %q, behind job %q",
		operationName(r.tasks[at].op), words(longest), r.tasks[at].op.Device, jobName(before))
}

// relief is how soon jobs could be ready when something were otherwise.
type relief struct {
	clock []int64 // with shifts round the clock
	dry   []int64 // without drying times
}

func (r *result) relief() *relief {
	clock, dry := *r.problem, *r.problem
	clock.machines = slices.Clone(clock.machines)
	always := newCalendar(nil, r.plant, r.opt.Now)
	for m := range clock.machines {
		clock.machines[m].calendar = always
	}
	dry.tasks = slices.Clone(dry.tasks)
	for x := range dry.tasks {
		dry.tasks[x].before = withoutLag(dry.tasks[x].before)
		dry.tasks[x].after = withoutLag(dry.tasks[x].after)
	}
	a, b := newBounds(&clock), newBounds(&dry)
	a.alone()
	b.alone()
	return &relief{clock: a.jobs, dry: b.jobs}
}

func withoutLag(links []link) []link {
	links = slices.Clone(links)
	for i := range links {
		links[i].lag = 0
	}
	return links
}

// help says what would make a job ready in time.
func (f *relief) help(r *result, j int) string {
	due := r.problem.jobs[j].due
	text := ""
	if f.clock[j] <= due {
		text += "work outside the shifts: round the clock it could be ready by " + moment(r.at(f.clock[j])) + "; "
	}
	if f.dry[j] <= due {
		text += "dry it faster: without drying time it could be ready by " + moment(r.at(f.dry[j])) + "; "
	}
	if text != "" {
		text += "or "
	}
	return text + "agree on another date with the customer, or plan it on other machines"
}

// moment writes a time for people, in the zone it has.
func moment(t time.Time) string { return t.Format("Mon 2006-01-02 15:04") }

// words writes seconds as hours and minutes, such as "1 d 02 h 05 min", rounded up.
func words(seconds int64) string {
	m := (seconds + 59) / 60
	switch {
	case seconds < 60:
		return fmt.Sprintf("%d s", seconds)
	case m < 60:
		return fmt.Sprintf("%d min", m)
	case m < 24*60:
		return fmt.Sprintf("%d h %02d min", m/60, m%60)
	}
	return fmt.Sprintf("%d d %02d h %02d min", m/60/24, m/60%24, m%60)
}
