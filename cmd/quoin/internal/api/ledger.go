package api

import (
	"bufio"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"net/http"
	"slices"
	"strings"
	"time"

	"quoin/cmd/quoin/internal/ledger"
	"quoin/cmd/quoin/internal/works"
	"quoin/convert/cost"
	"quoin/convert/cost/account"
)

// statement is the books by one dimension, and what was to be remarked of them.
type statement struct {
	Statement *account.Statement `json:"statement"`
	Remarks   []string           `json:"remarks" doc:"what could not be priced or placed; 100 at most"`
}

const mostRemarks = 100

func (a *api) filter(c *call) ledger.Filter {
	f := ledger.Filter{
		From: c.moment("from", a.zone()), To: c.moment("to", a.zone()), Jobs: c.all("job"), Devices: c.all("device"),
	}
	if _, err := time.Parse(time.DateOnly, c.text("to")); err == nil {
		f.To = f.To.AddDate(0, 0, 1) // a day is meant with all its hours
	}
	return f
}

func listEntries(a *api, c *call) (*reply, error) { return a.entries(c, a.filter(c)) }

// entries gives a page, or all as one JSON value a line.
func (a *api) entries(c *call, f ledger.Filter) (*reply, error) {
	if c.text("format") == "ndjson" {
		return &reply{stream: func(c *call) error { return a.streamEntries(c, f) }}, nil
	}
	p, err := inPages(c, func(limit int, after []string) ([]cost.Entry, error) {
		var list []cost.Entry
		at, err := newEntryMark(after)
		if err != nil {
			return nil, err
		}
		for e, err := range a.parts.Ledger.Entries(c.r.Context(), f) {
			if err != nil {
				return nil, err
			}
			if !at.behind(e) {
				continue
			}
			if list = append(list, e); len(list) == limit {
				break
			}
		}
		if !at.found {
			return nil, badCursor()
		}
		return list, nil
	}, placeOfEntry, func(e cost.Entry) cost.Entry { return e })
	return &reply{value: p}, err
}

// entryMark finds a place in the list of entries, which goes by device and, within a
// device, by time. Entries have no numbers: those of a device are settled anew when it
// reports something late.
type entryMark struct {
	device string
	start  time.Time
	sum    string // of the entry itself

	met   bool // the device has been come to
	found bool
}

func placeOfEntry(e cost.Entry) []string {
	return []string{e.Device, e.Start.UTC().Format(time.RFC3339Nano), sumOf(e)}
}

// sumOf tells entries apart.
func sumOf(e cost.Entry) string {
	text, err := json.Marshal(e)
	if err != nil { // of plain data, which can be written
		return err.Error()
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:8])
}

func newEntryMark(place []string) (*entryMark, error) {
	if place == nil {
		return &entryMark{found: true}, nil
	}
	if len(place) != 3 {
		return nil, badCursor()
	}
	start, err := time.Parse(time.RFC3339Nano, place[1])
	if err != nil {
		return nil, badCursor()
	}
	return &entryMark{device: place[0], start: start, sum: place[2]}, nil
}

// behind reports whether an entry comes behind the mark. Where that of the mark is no
// longer there, the next that begins later does, or the next device.
func (m *entryMark) behind(e cost.Entry) bool {
	switch {
	case m.found:
		return true
	case e.Device != m.device:
		m.found = m.met
		return m.found
	}
	m.met = true
	switch {
	case e.Start.After(m.start):
		m.found = true
		return true
	case e.Start.Equal(m.start) && sumOf(e) == m.sum:
		m.found = true // those behind it are meant
	}
	return false
}

// flushEvery is how many lines go out together.
const flushEvery = 500

// streamEntries writes all entries, in bounded memory. An error in the middle breaks the
// connection, so that a part is not taken for the whole.
func (a *api) streamEntries(c *call, f ledger.Filter) error {
	c.w.Header().Set("Content-Type", "application/x-ndjson")
	c.w.WriteHeader(http.StatusOK)
	control := http.NewResponseController(c.w)
	out := bufio.NewWriterSize(c.w, 64<<10)
	enc := json.NewEncoder(out)
	n := 0
	for e, err := range a.parts.Ledger.Entries(c.r.Context(), f) {
		if err == nil {
			err = enc.Encode(e)
		}
		if n++; err == nil && n%flushEvery == 0 {
			// Where the connection knows of no deadlines there are none to be moved.
			_ = control.SetWriteDeadline(time.Now().Add(time.Minute))
			err = out.Flush()
		}
		if err != nil {
			return err
		}
	}
	return out.Flush()
}

func listLedgerJobs(a *api, c *call) (*reply, error) {
	jobs, err := a.parts.Ledger.Jobs(c.r.Context(), a.filter(c))
	if err != nil {
		return nil, err
	}
	slices.SortFunc(jobs, func(a, b ledger.Job) int { return strings.Compare(a.ID, b.ID) }) // databases differ
	p, err := inPages(c, func(limit int, after []string) ([]ledger.Job, error) {
		from := 0
		if after != nil {
			from, _ = slices.BinarySearchFunc(jobs, after[0]+"\x00", func(j ledger.Job, id string) int {
				return strings.Compare(j.ID, id)
			})
		}
		return jobs[from:min(len(jobs), from+limit)], nil
	}, func(j ledger.Job) []string { return []string{j.ID} }, func(j ledger.Job) ledger.Job { return j })
	return &reply{value: p}, err
}

func showReport(a *api, c *call) (*reply, error) {
	return a.statement(c, account.By(c.text("by")), account.Filter{
		From: c.text("from"), To: c.text("to"), Jobs: c.all("job"), Parts: c.all("part"), Devices: c.all("device"),
		Centres: c.all("centre"), Customers: c.all("customer"), Operators: c.all("operator"), Shifts: c.all("shift"),
		Undated: c.text("undated") == "yes",
	})
}

// statement makes a statement of the books, a few jobs at a time.
func (a *api) statement(c *call, by account.By, f account.Filter) (*reply, error) {
	st, findings, err := a.parts.Ledger.Statement(c.r.Context(), by, f)
	if err != nil {
		return nil, err
	}
	out := statement{Statement: st, Remarks: []string{}}
	seen := map[string]bool{}
	for _, found := range findings {
		if text := found.Message(); !seen[text] && len(out.Remarks) < mostRemarks {
			seen[text] = true
			out.Remarks = append(out.Remarks, text)
		}
	}
	return &reply{value: out}, nil
}

// reported is the JobID of the job in the path.
func (a *api) reported(c *call) (string, error) {
	return works.Ask(c.r.Context(), a.parts.Store, func(tx *works.Tx) (string, error) {
		k, err := c.ticketOf(tx)
		if err != nil {
			return "", err
		}
		return k.Job, nil
	})
}

func showTimeline(a *api, c *call) (*reply, error) {
	job, err := a.reported(c)
	if err != nil {
		return nil, err
	}
	return a.entries(c, ledger.Filter{Jobs: []string{job}})
}

func showCost(a *api, c *call) (*reply, error) {
	job, err := a.reported(c)
	if err != nil {
		return nil, err
	}
	return a.statement(c, account.By(c.text("by")), account.Filter{Jobs: []string{job}})
}
