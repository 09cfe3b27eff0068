package cost

import (
	"cmp"
	"maps"
	"slices"
)

// useKey is what of a resource is counted together.
type useKey struct{ job, part, keys, kind, usage, lot, item string }

// bare is the key without the item, which reports often leave out.
func (k useKey) bare() useKey { k.item = ""; return k }

// usage is a UseRecord in hand.
type usage struct {
	useKey
	*UseRecord
	good, waste, planned count
	key                  string
}

func (u *usage) compare(v *usage) int {
	return cmp.Or(
		u.Seen.Compare(v.Seen), u.good.compare(v.good), u.waste.compare(v.waste), cmp.Compare(u.key, v.key),
	)
}

// distinctUses keeps one report of each content, that of the first source, and
// puts them in order.
func distinctUses(records []UseRecord) []*usage {
	first := map[string]*UseRecord{}
	for i := range records {
		u := &records[i]
		key := u.Key()
		if old := first[key]; old == nil || u.Source.compare(old.Source) < 0 {
			first[key] = u
		}
	}
	all := make([]*usage, 0, len(first))
	for key, u := range first {
		all = append(all, &usage{
			useKey:    useKey{u.Job, u.Part, u.Keys, u.Kind, u.Usage, u.Lot, u.Item},
			UseRecord: u, key: key, good: counted(u.Good), waste: counted(u.Waste), planned: counted(u.Planned),
		})
	}
	slices.SortFunc(all, (*usage).compare)
	nameItems(all)
	return all
}

// nameItems gives reports that do not name their item that of the others of
// the same work, where these all name one.
func nameItems(all []*usage) {
	const many = "\x00"
	items := map[useKey]string{}
	for _, u := range all {
		switch old := items[u.bare()]; {
		case u.item == "" || old == u.item:
		case old == "":
			items[u.bare()] = u.item
		default:
			items[u.bare()] = many
		}
	}
	for _, u := range all {
		if item := items[u.bare()]; u.item == "" && item != many {
			u.item = item
		}
	}
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
	last                *usage
	name, kind, unit    string
}

func (s *useState) take(u *usage) {
	s.last = u
	s.name, s.kind, s.unit = cmp.Or(u.Name, s.name), cmp.Or(u.Type, s.kind), cmp.Or(u.Unit, s.unit)
	if u.planned.given {
		s.planned = u.planned
	}
	if !u.Signal {
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

// SettleUses adds up what was used and made: all records of a job, or of many.
// Order and repetition of the records make no difference. Each sender has a
// total of its own; that of an audit pool is the last it wrote, that of signals
// follows their counters. Where audit pools tell of a resource, signals add
// nothing to it.
func SettleUses(records []UseRecord) []Use {
	uses := distinctUses(records)
	pooled := map[useKey]bool{}
	for _, u := range uses {
		pooled[u.useKey] = pooled[u.useKey] || !u.Signal
	}
	states := map[useSource]*useState{}
	for _, u := range uses {
		if u.Signal && pooled[u.useKey] {
			continue
		}
		key := useSource{u.useKey, u.Device}
		if states[key] == nil {
			states[key] = &useState{}
		}
		states[key].take(u)
	}
	merged := map[useKey]*Use{}
	for _, key := range slices.SortedFunc(maps.Keys(states), useSource.compare) {
		merged[key.useKey] = states[key].into(merged[key.useKey], key)
	}
	all := make([]Use, 0, len(merged))
	for _, u := range merged {
		all = append(all, *u)
	}
	slices.SortFunc(all, Use.compare)
	return all
}

// into adds what one sender told to what others did; u is nil for the first.
func (s *useState) into(u *Use, key useSource) *Use {
	if u == nil {
		u = &Use{
			Job: key.job, Part: key.part, Keys: key.keys, Kind: key.kind, Usage: key.usage, Lot: key.lot,
			Item: key.item, Device: key.sender, Source: s.last.Source,
		}
	}
	if u.Device != key.sender {
		u.Device = ""
	}
	u.Name, u.Type, u.Unit = cmp.Or(u.Name, s.name), cmp.Or(u.Type, s.kind), cmp.Or(u.Unit, s.unit)
	u.Good, u.Waste = u.Good.Add(s.good.sum), u.Waste.Add(s.waste.sum)
	if s.planned.given {
		plan := s.planned.Decimal
		if u.Planned != nil {
			plan = plan.Add(*u.Planned)
		}
		u.Planned = &plan
	}
	if s.last.Source.compare(u.Source) < 0 {
		u.Source = s.last.Source
	}
	if s.last.Seen.After(u.Seen) {
		u.Seen = s.last.Seen
	}
	return u
}

func (s useSource) compare(t useSource) int {
	return cmp.Or(s.useKey.compare(t.useKey), cmp.Compare(s.sender, t.sender))
}

func (k useKey) compare(m useKey) int {
	return cmp.Or(cmp.Compare(k.job, m.job), cmp.Compare(k.part, m.part), cmp.Compare(k.usage, m.usage),
		cmp.Compare(k.kind, m.kind), cmp.Compare(k.keys, m.keys), cmp.Compare(k.lot, m.lot), cmp.Compare(k.item, m.item))
}

func (u Use) compare(v Use) int { return u.key().compare(v.key()) }

func (u Use) key() useKey { return useKey{u.Job, u.Part, u.Keys, u.Kind, u.Usage, u.Lot, u.Item} }
