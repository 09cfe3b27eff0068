package validate

import (
	"slices"
	"strings"

	"quoin/jdf"
)

// Report gathers the findings of one or many files. The zero Report is empty.
// It is not safe for concurrent use; gather one a file and Merge them.
type Report struct {
	Files    int       // how many files were looked at
	Findings []Finding // sorted after Finish
	Left     int       // how many findings were counted but not kept
	Silenced int       // how many findings do not count, since a house silenced them

	counts [Error + 1]int // by severity
	most   int
	said   map[jdf.Node][]jdf.Place // where the schema group found fault, kept or not
}

// NewReport makes a report that keeps at most that many findings a file and
// counts the rest; 0 keeps all.
func NewReport(most int) *Report { return &Report{most: most} }

// Add takes a finding. That of a follow-on rule is dropped where the schema
// group has found fault before.
func (r *Report) Add(f Finding) {
	node := f.Place.Node()
	switch {
	case f.Rule.FollowOn:
		if slices.ContainsFunc(r.said[node], f.Place.Overlaps) {
			return
		}
	case f.Rule.Group() == GroupSchema && node.Valid():
		if r.said == nil {
			r.said = map[jdf.Node][]jdf.Place{}
		}
		r.said[node] = append(r.said[node], f.Place)
	}
	r.count(f, 1)
	if r.most > 0 && len(r.Findings) >= r.most {
		r.Left++
		return
	}
	r.Findings = append(r.Findings, f)
}

func (r *Report) count(f Finding, by int) {
	if f.Silenced != nil {
		r.Silenced += by
		return
	}
	r.counts[f.Severity] += by
}

// Update puts change(f) in the place of each finding that was kept. What was
// only counted stays counted as it was.
func (r *Report) Update(change func(Finding) Finding) {
	for i, f := range r.Findings {
		r.count(f, -1)
		r.Findings[i] = change(f)
		r.count(r.Findings[i], 1)
	}
}

// Split parts the findings that choose picks from the rest. What was only
// counted goes with the rest.
func (r *Report) Split(choose func(Finding) bool) (chosen, rest *Report) {
	chosen, rest = NewReport(r.most), NewReport(r.most)
	chosen.Files, rest.Files = r.Files, r.Files
	rest.Left, rest.Silenced, rest.counts = r.Left, r.Silenced, r.counts
	for _, f := range r.Findings {
		if !choose(f) {
			rest.Findings = append(rest.Findings, f)
			continue
		}
		rest.count(f, -1)
		chosen.count(f, 1)
		chosen.Findings = append(chosen.Findings, f)
	}
	return chosen, rest
}

// Merge takes over all that another report holds.
func (r *Report) Merge(other *Report) {
	r.Files += other.Files
	r.Left += other.Left
	r.Silenced += other.Silenced
	r.Findings = append(r.Findings, other.Findings...)
	for s, n := range other.counts {
		r.counts[s] += n
	}
}

// Finish sorts the findings and drops exact repetitions.
func (r *Report) Finish() {
	slices.SortStableFunc(r.Findings, Finding.Compare)
	r.Findings = slices.CompactFunc(r.Findings, func(a, b Finding) bool {
		same := a.Compare(b) == 0 && a.Severity == b.Severity
		if same {
			r.count(b, -1)
		}
		return same
	})
}

// Count is the number of findings of a severity, with those not kept and
// without those silenced.
func (r *Report) Count(s Severity) int { return r.counts[s] }

// Worst is the heaviest severity found, or 0 for none. What is silenced does
// not count.
func (r *Report) Worst() Severity {
	for s := Error; s > 0; s-- {
		if r.counts[s] > 0 {
			return s
		}
	}
	return 0
}

// Filter chooses findings by rule id.
type Filter struct {
	Only   []string // groups; none means all
	Ignore []string // ids, or group/*
}

// Keeps reports whether findings of the id are wanted.
func (f Filter) Keeps(id string) bool {
	group, _, _ := strings.Cut(id, "/")
	if len(f.Only) > 0 && !slices.Contains(f.Only, group) {
		return false
	}
	return !slices.Contains(f.Ignore, id) && !slices.Contains(f.Ignore, group+"/*")
}
