package convert

import (
	"cmp"
	"slices"

	"quoin/jdf"
	"quoin/validate"
)

// Tally counts what became of the elements and attributes of the sources.
type Tally struct{ Carried, Changed, Lost int }

// Cause is one reason for which pieces of the sources were changed or lost.
type Cause struct {
	Rule   *validate.Rule
	Reason string
	Names  []string    // of the pieces, as Element or Element/@Attr, each once, in order of the first
	Count  int         // of the pieces
	First  []jdf.Place // at most three, in the order of the sources
}

// firstPlaces is how many places a cause keeps.
const firstPlaces = 3

// Causes folds the losses by their reason: what was lost before what was only
// changed, and the most frequent first. The tally counts elements and attributes
// alone; causes also tell of text and remarks.
func (r *Result) Causes() ([]Cause, Tally) {
	type key struct {
		rule   *validate.Rule
		reason string
	}
	type name struct {
		cause int
		name  string
	}
	var tally Tally
	var all []Cause
	at, named := map[key]int{}, map[name]bool{}
	for i := range r.All() {
		if i.What == Element || i.What == Attribute {
			switch i.Outcome {
			case Carried:
				tally.Carried++
			case Changed:
				tally.Changed++
			default:
				tally.Lost++
			}
		}
		if i.Rule == nil {
			continue
		}
		k := key{i.Rule, i.Reason}
		n, ok := at[k]
		if !ok {
			n = len(all)
			at[k] = n
			all = append(all, Cause{Rule: i.Rule, Reason: i.Reason})
		}
		c := &all[n]
		c.Count++
		if len(c.First) < firstPlaces {
			c.First = append(c.First, i.Place)
		}
		if !named[name{n, i.Name}] {
			named[name{n, i.Name}] = true
			c.Names = append(c.Names, i.Name)
		}
	}
	slices.SortStableFunc(all, func(a, b Cause) int {
		return cmp.Or(cmp.Compare(b.Rule.Severity, a.Rule.Severity), cmp.Compare(b.Count, a.Count))
	})
	return all, tally
}
