package floor

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Fault is a way in which machines misbehave when they are told to.
type Fault string

// The faults. What happened in truth is not changed by any of them.
const (
	Late       Fault = "late"         // told a good while after it happened
	Duplicate  Fault = "duplicate"    // told twice
	OutOfOrder Fault = "out-of-order" // told after what happened later
	Dropped    Fault = "dropped"      // the connection is cut before the answer is read, and all is told again
	Malformed  Fault = "malformed"    // cut off in the middle first, then told whole
	Counters   Fault = "counters"     // a signal with amounts that are wrong
)

// Faults lists the faults.
func Faults() []Fault { return []Fault{Late, Duplicate, OutOfOrder, Dropped, Malformed, Counters} }

// usual is how likely a fault is where nothing else is said.
const usual = 0.05

// ParseFaults reads a list such as "late,duplicate=0.2": faults, each with the
// share of messages that it strikes, 0.05 when not given; "all" stands for all.
func ParseFaults(list string) (map[Fault]float64, error) {
	chances := map[Fault]float64{}
	for word := range strings.SplitSeq(list, ",") {
		if word = strings.TrimSpace(word); word == "" {
			continue
		}
		name, number, given := strings.Cut(word, "=")
		chance := usual
		if given {
			var err error
			if chance, err = strconv.ParseFloat(number, 64); err != nil || !(chance >= 0 && chance <= 1) {
				return nil, fmt.Errorf("fault %q has the share %q; want a number from 0 to 1", name, number)
			}
		}
		kinds := []Fault{Fault(name)}
		if name == "all" {
			kinds = Faults()
		}
		for _, k := range kinds {
			if !slices.Contains(Faults(), k) {
				return nil, fmt.Errorf("fault %q is not known; want late, duplicate, out-of-order, dropped, malformed, "+
					"counters or all", name)
			}
			chances[k] = chance
		}
	}
	return chances, nil
}
