package cost

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"quoin/jdf"
	"quoin/jdf/job"
)

// useKey is what of a resource is counted together.
type useKey struct{ job, part, keys, kind, usage, lot string }

// usage is one report of what was used or made.
type usage struct {
	useKey
	place   jdf.Place
	sender  string
	signal  bool
	seen    time.Time
	good    count
	waste   count
	planned count
	content string
}

func (u *usage) compare(v *usage) int {
	return cmp.Or(
		u.seen.Compare(v.seen), u.good.compare(v.good), u.waste.compare(v.waste),
		cmp.Compare(u.content, v.content), u.place.Compare(v.place),
	)
}

// used takes a report of a resource. What is not about a job, such as the stock
// in the store or what could be used, costs nothing yet.
func (c *collector) used(a *job.Audit, signal bool) {
	r := a.Consumption
	c.zone(a.Time)
	c.negative(r.Amounts.Good)
	c.negative(r.Amounts.Waste)
	u := &usage{
		useKey: useKey{
			job: a.JobID.Value, part: a.PartID.Value, keys: r.Part.String(),
			kind: r.Kind, usage: r.Usage.Value, lot: r.Lot.Value,
		},
		place: r.Node.Place(), sender: a.Device.Value, signal: signal,
		good: amount(r.Amounts.Good), waste: amount(r.Amounts.Waste), planned: amount(r.Planned),
	}
	if u.job == "" || r.Scope.Or("Job") != "Job" || !u.good.given && !u.waste.given {
		return
	}
	if a.Time.Given {
		u.seen = a.Time.Value.Time()
	}
	u.content = fmt.Sprintf("%q %q %t %s %s %s %s", u.useKey, u.sender, u.signal,
		when{u.seen, true}.key(), u.good.key(), u.waste.key(), u.planned.key())
	c.uses = append(c.uses, u)
}

// useSource is what one sender tells of one resource.
type useSource struct {
	useKey
	sender string
}

// useState is the sum of what one sender told.
type useState struct {
	good, waste         tally
	goodRead, wasteRead counter
	planned             count
	place               jdf.Place // of the last report
}

func (s *useState) take(u *usage) {
	s.place = u.place
	if u.planned.given {
		s.planned = u.planned
	}
	if !u.signal {
		s.good.tell(u.good)
		s.waste.tell(u.waste)
		return
	}
	if u.good.given {
		d, _ := s.goodRead.next(u.good.Decimal)
		s.good.add(d)
	}
	if u.waste.given {
		d, _ := s.wasteRead.next(u.waste.Decimal)
		s.waste.add(d)
	}
}

// ledgerUses adds up the uses. Each sender has a total of its own; that of an
// audit pool is the last it wrote, that of signals follows their counters.
// Where audit pools tell of a resource, signals add nothing to it.
func (c *collector) ledgerUses() []Use {
	pooled := map[useKey]bool{}
	for _, u := range c.uses {
		pooled[u.useKey] = pooled[u.useKey] || !u.signal
	}
	states := map[useSource]*useState{}
	for _, u := range c.uses {
		if u.signal && pooled[u.useKey] {
			continue
		}
		key := useSource{u.useKey, u.sender}
		if states[key] == nil {
			states[key] = &useState{}
		}
		states[key].take(u)
	}
	merged := map[useKey]*Use{}
	for key, s := range states {
		u := merged[key.useKey]
		if u == nil {
			u = &Use{
				Job: key.job, Part: key.part, Keys: key.keys, Kind: key.kind, Usage: key.usage, Lot: key.lot,
				Source: sourceAt(s.place),
			}
			merged[key.useKey] = u
		}
		u.Good, u.Waste = u.Good.Add(s.good.sum), u.Waste.Add(s.waste.sum)
		if s.planned.given {
			plan := s.planned.Decimal
			if u.Planned != nil {
				plan = plan.Add(*u.Planned)
			}
			u.Planned = &plan
		}
		if s.place.Compare(u.Source.Place) < 0 {
			u.Source = sourceAt(s.place)
		}
	}
	all := make([]Use, 0, len(merged))
	for _, u := range merged {
		all = append(all, *u)
	}
	slices.SortFunc(all, Use.compare)
	return all
}

func (u Use) compare(v Use) int {
	return cmp.Or(cmp.Compare(u.Job, v.Job), cmp.Compare(u.Part, v.Part), cmp.Compare(u.Usage, v.Usage),
		cmp.Compare(u.Kind, v.Kind), cmp.Compare(u.Keys, v.Keys), cmp.Compare(u.Lot, v.Lot))
}
