package cost

import (
	"maps"
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/validate"
)

// Collect reads all documents and settles what they say into one Ledger. The
// order of the documents, and how often each is given, make no difference. The
// findings are those of the audit group that need no plant, sorted and without
// repetitions; what they speak of is counted as they say.
func Collect(docs []*jdf.Document) (*Ledger, []validate.Finding) { return Reading{}.Collect(docs) }

// Collect is the function of the name, with documents that are read in this way.
func (how Reading) Collect(docs []*jdf.Document) (*Ledger, []validate.Finding) {
	var all Said
	var found []validate.Finding
	for _, doc := range docs {
		said, more := how.Read(doc)
		all.Add(said)
		found = append(found, more...)
	}
	l, more := all.Ledger()
	return l, tidy(append(found, more...))
}

// Add takes over what another document said.
func (s *Said) Add(more *Said) {
	s.Records = append(s.Records, more.Records...)
	s.Uses = append(s.Uses, more.Uses...)
	s.Notices = append(s.Notices, more.Notices...)
	s.Orders = append(s.Orders, more.Orders...)
	s.Tasks = append(s.Tasks, more.Tasks...)
	s.Supplies = append(s.Supplies, more.Supplies...)
}

// Ledger settles all devices and all uses. The findings are sorted and without
// repetitions.
func (s *Said) Ledger() (*Ledger, []validate.Finding) {
	groups := map[string][]Record{}
	var runs []Record
	for _, r := range s.Records {
		if r.Kind == KindRun {
			runs = append(runs, r)
			continue
		}
		groups[r.Group()] = append(groups[r.Group()], r)
	}
	settled := map[string]Settled{}
	var entries []Entry
	for group, records := range groups {
		settled[group] = SettleIn(records, FrameOf(records))
		entries = append(entries, settled[group].Entries...)
	}
	alone, found := MatchRuns(runs, entries)
	again := map[string]bool{}
	for _, r := range alone {
		groups[r.Group()] = append(groups[r.Group()], r)
		again[r.Group()] = true
	}
	for group := range again {
		settled[group] = SettleIn(groups[group], FrameOf(groups[group]))
	}
	l := &Ledger{Entries: []Entry{}}
	for _, group := range slices.SortedFunc(maps.Keys(settled), strings.Compare) {
		l.Entries = append(l.Entries, settled[group].Entries...)
		for _, r := range settled[group].Remarks {
			found = append(found, r.Finding)
		}
	}
	l.Uses = SettleUses(s.Uses)
	found = append(found, CheckMade(l.Entries, l.Uses)...)
	return l, tidy(found)
}
