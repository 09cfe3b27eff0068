package house

import (
	"fmt"
	"time"

	"quoin/jdf"
	"quoin/validate"
)

// Settings are what findings are judged by.
type Settings struct {
	File         *File     // nil when the house has no rules file
	Known        []string  // ids of all rules
	Instructions bool      // take the instructions in tickets; only where the senders may silence findings
	Now          time.Time // decides which silences still hold
}

// Judge returns the function that weighs and silences findings in a document,
// before they are counted. The document may be nil, for findings elsewhere.
// The function is safe for concurrent use.
func (s Settings) Judge(doc *jdf.Document) func(validate.Finding) validate.Finding {
	var inside silences
	if s.Instructions && doc != nil {
		inside, _ = instructions(doc, s.Known)
	}
	house := s.fileSilences()
	return func(f validate.Finding) validate.Finding {
		if f.Rule == nil || fixed(f.Rule) {
			return f
		}
		if s.File != nil {
			if severity, ok := s.File.Severity[f.Rule.ID]; ok {
				f.Severity = severity
			}
		}
		if f.Silenced != nil {
			return f
		}
		if n := f.Place.Node(); n.Valid() && n.Document() == doc {
			f.Silenced = inside[n.Index()][f.Rule.ID]
		}
		if f.Silenced == nil {
			f.Silenced = house[f.Rule.ID]
		}
		return f
	}
}

// fileSilences are those of the rules file that hold, by rule.
func (s Settings) fileSilences() map[string]*validate.Silence {
	holding := map[string]*validate.Silence{}
	if s.File == nil {
		return holding
	}
	for _, i := range s.File.Ignore {
		if i.Holds(s.Now) {
			holding[i.Rule] = &validate.Silence{
				Reason: fmt.Sprintf("%s (until %s)", i.Reason, i.Until.Format(time.DateOnly)),
				Place:  i.Place,
			}
		}
	}
	return holding
}

// Ended tells, with a note each, which silences no longer hold.
func (f *File) Ended(now time.Time) []validate.Finding {
	var notes []validate.Finding
	for _, i := range f.Ignore {
		if !i.Holds(now) {
			notes = append(notes, silenceEnded.At(i.Place,
				validate.F("rule", i.Rule), validate.F("until", i.Until.Format(time.DateOnly))))
		}
	}
	return notes
}

// Apply judges the findings of a finished report, and adds the notes on
// silences that ended. Findings that the report counted but did not keep stay
// counted as they were: where a report is capped, judge findings before they
// are added, with Judge. Findings that were judged before are left as they are.
func Apply(r *validate.Report, s Settings) {
	judges := map[*jdf.Document]func(validate.Finding) validate.Finding{}
	r.Update(func(f validate.Finding) validate.Finding {
		doc := f.Place.Node().Document()
		judge, ok := judges[doc]
		if !ok {
			judge = s.Judge(doc)
			judges[doc] = judge
		}
		return judge(f)
	})
	if s.File != nil {
		for _, note := range s.File.Ended(s.Now) {
			r.Add(note)
		}
	}
	r.Finish()
}
