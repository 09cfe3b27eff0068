package schedule

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"quoin/convert/plan"
)

// Text writes a schedule for planner and floor, in plain text: what it came to,
// the jobs that are late, what each machine does in time order, and all jobs.
// Times are those of the plant's clocks. The error is that of the writer.
func Text(w io.Writer, s *Schedule) error {
	t := &text{schedule: s}
	t.head()
	t.late()
	for _, m := range s.Machines {
		t.machine(m)
	}
	t.jobs()
	if len(s.Notes) > 0 {
		t.heading("Notes")
	}
	for _, n := range s.Notes {
		t.line("  - %s", n)
	}
	if _, err := io.WriteString(w, t.out.String()); err != nil {
		return fmt.Errorf("write schedule: %w", err)
	}
	return nil
}

type text struct {
	schedule *Schedule
	out      strings.Builder
}

func (t *text) line(format string, args ...any) {
	t.out.WriteString(strings.TrimRight(fmt.Sprintf(format, args...), " ") + "\n")
}

func (t *text) heading(title string) { t.line("\n%s", strings.ToUpper(title)) }

func (t *text) head() {
	s := t.schedule
	t.line("%s, schedule from %s, times in %s", s.Plant, moment(s.Now), s.Zone)
	laid := "as soon as possible"
	if s.Latest {
		laid = "as late as possible"
	}
	t.line("%s on %s, %s, all done by %s",
		many(len(s.Jobs), "job"), many(len(s.Machines), "machine"), laid, moment(s.Totals.End))
	t.line("")
	t.line("  %-14s %s", "late", t.lateWords())
	t.line("  %-14s %s", "until the end", measured(s.Totals.Makespan, words))
	t.line("  %-14s %s", "changeovers", measured(s.Totals.Changeover, words))
	t.line("  %-14s best of %d rules (%s), then %d orders tried, %d of them taken; seed %d", "search",
		len(priorities), s.Search.Rule, s.Search.Trials, s.Search.Taken, s.Search.Seed)
}

func (t *text) lateWords() string {
	s := t.schedule
	if s.Totals.LateJobs == 0 {
		return "none"
	}
	weighted := measured(s.Totals.WeightedLate, func(v int64) string { return strconv.FormatInt(v/3600, 10) })
	return fmt.Sprintf("%s, %s in all; hours by weight %s",
		many(s.Totals.LateJobs, "job"), words(int64(s.Totals.Late.Seconds())), weighted)
}

// measured writes what a schedule came to beside what none can come below.
func measured(m Measure, write func(int64) string) string {
	if m.Value == m.Bound {
		return write(m.Value) + ", proven least"
	}
	return fmt.Sprintf("%s, no schedule is below %s; gap %.2f %%", write(m.Value), write(m.Bound), m.Gap)
}

func many(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return strconv.Itoa(n) + " " + what + "s"
}

// late lists the jobs that are late, the latest first.
func (t *text) late() {
	var jobs []*Job
	for _, j := range t.schedule.Jobs {
		if j.Late.Duration > 0 {
			jobs = append(jobs, j)
		}
	}
	if len(jobs) == 0 {
		return
	}
	slices.SortStableFunc(jobs, func(a, b *Job) int { return int(b.Late.Seconds()) - int(a.Late.Seconds()) })
	t.heading("Late")
	rows := [][]string{{"job", "late by", "due", "done", "earliest alone"}}
	for _, j := range jobs {
		rows = append(rows, []string{j.title(), spelled(j.Late), clock(*j.Due), clock(j.End), clock(j.Earliest)})
	}
	t.table(rows)
}

// title is a job with its name, of a length that fits a line.
func (j *Job) title() string {
	return strings.TrimSpace(printable(j.JobID, 20) + "  " + printable(j.Name, 30))
}

func (t *text) machine(m *Machine) {
	t.heading(printable(m.ID, 40))
	t.line("  %s; run %s, changeovers %s; busy %.1f %% of its shifts",
		printable(m.Name, 60), spelled(m.Run), spelled(m.Changeover), m.Busy)
	rows := [][]string{{"start", "run from", "end", "ready", "run", "wash", "", "step", "slack", "job"}}
	for _, o := range m.Operations {
		rows = append(rows, []string{
			clock(o.Start), short(o.Start, o.RunStart), short(o.Start, o.End),
			spelled(o.Makeready), spelled(o.Run), spelled(o.WashUp), t.breaks(o),
			strings.TrimSpace(string(o.Step) + " " + printable(o.Sheet, 12)), spelled(o.Slack), t.schedule.Jobs[o.Job-1].title(),
		})
	}
	t.table(rows)
}

// breaks marks an operation that stops and goes on.
func (t *text) breaks(o *Operation) string {
	n := 0
	for i := 1; i < len(o.Slices); i++ {
		if o.Slices[i].Activity == o.Slices[i-1].Activity {
			n++
		}
	}
	if n == 0 {
		return ""
	}
	return many(n, "break")
}

func (t *text) jobs() {
	t.heading("Jobs")
	rows := [][]string{{"job", "priority", "start", "done", "due", "slack", ""}}
	for _, j := range t.schedule.Jobs {
		due, state := "", ""
		if j.Due != nil {
			due, state = clock(*j.Due), "in time"
		}
		if j.Late.Duration > 0 {
			state = "late"
		}
		rows = append(rows, []string{
			j.title(), strconv.Itoa(j.Priority), clock(j.Start), clock(j.End), due, spelled(j.Slack), state,
		})
	}
	t.table(rows)
}

// table aligns columns to the left.
func (t *text) table(rows [][]string) {
	widths := make([]int, len(rows[0]))
	for _, row := range rows {
		for i, cell := range row {
			widths[i] = max(widths[i], utf8.RuneCountInString(cell))
		}
	}
	for _, row := range rows {
		line := ""
		for i, cell := range row {
			if widths[i] > 0 {
				line += "  " + cell + strings.Repeat(" ", widths[i]-utf8.RuneCountInString(cell))
			}
		}
		t.line("%s", line)
	}
}

// clock writes a time to the minute, such as "Mon 11-23 06:00"; the year is in
// the heading.
func clock(t time.Time) string { return t.Format("Mon 01-02 15:04") }

// short leaves the day out when it is that of a time before.
func short(before, t time.Time) string {
	if before.Format(time.DateOnly) == t.Format(time.DateOnly) {
		return t.Format("15:04")
	}
	return clock(t)
}

// spelled writes a time in words; none is "-".
func spelled(t plan.Time) string {
	if t.Duration == 0 {
		return "-"
	}
	return words(int64(t.Seconds()))
}

// printable is a text without line breaks and other characters that can not be
// printed, cut to a number of characters.
func printable(s string, most int) string {
	hidden := func(r rune) bool { return !unicode.IsPrint(r) }
	runes := []rune(strings.Join(strings.FieldsFunc(s, hidden), " "))
	if len(runes) > most {
		return string(runes[:most-1]) + "…"
	}
	return string(runes)
}
