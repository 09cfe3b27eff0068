package cost

import (
	"quoin/jdf"
	"quoin/validate"
)

// CheckMade holds the good of each job part against what its resource audits
// say was made, and reports by how much they differ. A part that several
// devices worked on has no one sum to compare. Entries and uses may be those of
// one job or of many; the findings are sorted.
func CheckMade(entries []Entry, uses []Use) []validate.Finding {
	type part struct{ job, part string }
	type sums struct {
		device string
		many   bool
		good   tally
	}
	made := map[part]*sums{}
	for _, e := range entries {
		key := part{e.Job, e.Part}
		if made[key] == nil {
			made[key] = &sums{device: e.Device}
		}
		made[key].many = made[key].many || made[key].device != e.Device
		if e.Counted {
			made[key].good.add(e.Good)
		}
	}
	told := map[part]tally{}
	places := map[part]jdf.Place{}
	for _, u := range uses {
		if u.Kind == "Component" && u.Usage == "Output" {
			key := part{u.Job, u.Part}
			t := told[key]
			t.add(u.Good)
			told[key] = t
			if old, ok := places[key]; !ok || u.Source.place().Compare(old) < 0 {
				places[key] = u.Source.place()
			}
		}
	}
	var found []validate.Finding
	for key, t := range told {
		m := made[key]
		if m == nil || m.many || !m.good.given || m.good.sum.Equal(t.sum) {
			continue
		}
		by, way := t.sum.Sub(m.good.sum), "less"
		if by.IsNegative() {
			by, way = by.Neg(), "more"
		}
		found = append(found, ruleAmountDiffers.At(places[key], validate.F("job", key.job), validate.F("part", key.part),
			validate.F("want", t.sum), validate.F("got", m.good.sum), validate.F("by", by), validate.F("way", way)))
	}
	return tidy(found)
}
