package diff

import (
	"quoin/jdf"
	"quoin/jdf/job"
)

// Kind says how something changed.
type Kind string

// The kinds of change.
const (
	Added   Kind = "added"
	Removed Kind = "removed"
	Changed Kind = "changed"
)

// Area is what a change is about, in the trade's words.
type Area string

// The areas, in the order in which changes are listed for one thing.
const (
	AreaJob      Area = "job"
	AreaCustomer Area = "customer"
	AreaProduct  Area = "product"
	AreaStep     Area = "step"
	AreaAmount   Area = "amount"
	AreaSize     Area = "size"
	AreaPages    Area = "pages"
	AreaStock    Area = "stock"
	AreaColours  Area = "colours"
	AreaFinish   Area = "finishing"
	AreaDate     Area = "date"
	AreaDevice   Area = "device"
	AreaMaterial Area = "material"
)

// Change is one thing that differs between two tickets.
type Change struct {
	Kind  Kind   `json:"kind"`
	Area  Area   `json:"area"`
	Where string `json:"where"`          // the product or step, or "job"
	Name  string `json:"name,omitempty"` // what of it; "" when the whole was added or removed
	From  string `json:"from,omitempty"` // with its unit; "" when the first ticket does not have it
	To    string `json:"to,omitempty"`

	FromPlace jdf.Place `json:"-"` // may be unknown
	ToPlace   jdf.Place `json:"-"`
}

// Jobs lists what changed from one job to another: first of the job as a whole,
// then product by product, then step by step. Nil when both say the same. The
// order depends on the jobs alone.
func Jobs(a, b *job.Job) []Change {
	d := &differ{mixed: a.Document.Kind.First() != b.Document.Kind.First()}
	d.facts("job", jobFacts(a), jobFacts(b))
	d.products(a, b)
	d.steps(a, b)
	return d.changes
}

type differ struct {
	mixed   bool // the jobs are of different generations
	changes []Change
}

// fact is something that a job says, written for people.
type fact struct {
	area  Area
	name  string
	value string
	same  string // what to compare where that is not the value: an instant in UTC
	place jdf.Place
}

// facts compares what is said of one thing.
func (d *differ) facts(where string, a, b []fact) {
	index := map[string]fact{}
	for _, f := range b {
		index[key(f)] = f
	}
	seen := map[string]bool{}
	for _, f := range a {
		seen[key(f)] = true
		g, ok := index[key(f)]
		switch {
		case !ok:
			d.add(Change{Kind: Removed, Area: f.area, Where: where, Name: f.name, From: f.value, FromPlace: f.place})
		case d.normal(f) != d.normal(g):
			d.add(Change{
				Kind: Changed, Area: f.area, Where: where, Name: f.name, From: f.value, To: g.value,
				FromPlace: f.place, ToPlace: g.place,
			})
		}
	}
	for _, g := range b {
		if !seen[key(g)] {
			d.add(Change{Kind: Added, Area: g.area, Where: where, Name: g.name, To: g.value, ToPlace: g.place})
		}
	}
}

func key(f fact) string { return string(f.area) + "\n" + f.name }

func (d *differ) add(c Change) { d.changes = append(d.changes, c) }

// normal is a value for comparison: where the generations have different words
// for one thing, the words of the 2.x generation.
func (d *differ) normal(f fact) string {
	if f.same != "" {
		return f.same
	}
	if to, ok := sameWord[f.value]; d.mixed && ok {
		return to
	}
	return f.value
}

// sameWord are words of the 1.x generation with those of the 2.x generation.
//
// Source: the enumerations of the published schemas. From memory: the pairs.
var sameWord = map[string]string{
	"Glossy": "Gloss", "HighGloss": "Gloss", "Semigloss": "Gloss",
	"Ring": "RingBinding", "PlasticComb": "CombBinding", "WireComb": "CombBinding",
	"Ready": "Waiting", "Spawned": "Waiting", "FailedTestRun": "Aborted", "TestRunInProgress": "Setup",
}
