package board

import (
	"net/http"
	"net/url"
	"strconv"

	"quoin/cmd/quoin/internal/works"
)

// jobsOnPage is how many jobs a page shows.
const jobsOnPage = 25

type jobsPage struct {
	Jobs   []jobRow
	Total  int
	Choice jobsChoice
	Groups []option
	Device []option
	Pager  pager
}

// jobsChoice is what the form above the list says.
type jobsChoice struct{ Show, Customer, Device, Text string }

type option struct {
	Value, Name string
	Chosen      bool
}

type jobRow struct {
	*works.Ticket
	Steps     []*works.Step
	Done, All int
	Standing  standing
	Word      string // the state in one word; held and suspended go before
}

// groups are the states that go together in a list.
var groups = []struct {
	value, name string
	states      []works.State
}{
	{"open", "In the house", []works.State{works.Submitted, works.Accepted, works.Planned, works.Released, works.Running}},
	{"ended", "Done or aborted", []works.State{works.Done, works.Aborted, works.Returned, works.Removed}},
	{"all", "All", nil},
}

// statesOf are the states that a word of the form chooses.
func statesOf(word string) ([]works.State, error) {
	for _, g := range groups {
		if g.value == word {
			return g.states, nil
		}
	}
	for _, s := range works.States() {
		if string(s) == word {
			return []works.State{s}, nil
		}
	}
	return nil, wrong("There is no state %q to show; choose one from the list.", word)
}

func (b *board) showJobs(w http.ResponseWriter, r *http.Request) error {
	q := r.URL.Query()
	c := jobsChoice{Show: q.Get("show"), Customer: q.Get("customer"), Device: q.Get("device"), Text: q.Get("text")}
	if c.Show == "" {
		c.Show = "open"
	}
	at, err := pageOf(q)
	if err != nil {
		return err
	}
	body := jobsPage{Choice: c}
	body.Groups = stateOptions(c.Show)
	for _, m := range b.Plant.Machines() {
		body.Device = append(body.Device, option{m.ID, nameOr(m.Name, m.ID), m.ID == c.Device})
	}
	err = b.Store.Read(r.Context(), func(tx *works.Tx) error {
		tickets, total, err := listTickets(tx, c, at)
		if err != nil {
			return err
		}
		body.Jobs, body.Total = nil, total
		for _, k := range tickets {
			row, err := b.row(tx, k)
			if err != nil {
				return err
			}
			body.Jobs = append(body.Jobs, row)
		}
		return nil
	})
	if err != nil {
		return err
	}
	body.Pager = newPager(r.URL, at, body.Total, jobsOnPage)
	return b.show(w, r, http.StatusOK, "jobs", "Jobs", body)
}

func stateOptions(chosen string) []option {
	var all []option
	for _, g := range groups {
		all = append(all, option{g.value, g.name, g.value == chosen})
	}
	for _, s := range works.States() {
		all = append(all, option{string(s), "Only " + string(s), string(s) == chosen})
	}
	return all
}

func listTickets(tx *works.Tx, c jobsChoice, at int) ([]*works.Ticket, int, error) {
	states, err := statesOf(c.Show)
	if err != nil {
		return nil, 0, err
	}
	f := works.TicketFilter{
		States: states, Device: c.Device, Search: c.Text, Customer: c.Customer, Order: works.ByDue,
		Limit: jobsOnPage, Offset: at * jobsOnPage,
	}
	if c.Show == "ended" || c.Show == "all" {
		f.Order = works.ByChange
	}
	total, err := tx.CountTickets(f)
	if err != nil {
		return nil, 0, err
	}
	list, err := tx.Tickets(f)
	return list, total, err
}

func (b *board) row(tx *works.Tx, k *works.Ticket) (jobRow, error) {
	steps, err := tx.Steps(k.ID)
	if err != nil {
		return jobRow{}, err
	}
	row := jobRow{Ticket: k, Steps: steps, Standing: judge(k, steps, b.Clock()), Word: wordOf(k)}
	row.Done, row.All = ofPlan(steps)
	return row, nil
}

// wordOf is the state of a ticket as people say it.
func wordOf(k *works.Ticket) string {
	switch k.Entry {
	case works.EntryHeld:
		return "held"
	case works.EntrySuspended:
		return "suspended"
	}
	return string(k.State)
}

func nameOr(name, id string) string {
	if name == "" {
		return id
	}
	return name
}

// pager leads to the pages before and after.
type pager struct {
	Before, After string // addresses, "" for none
	From, To, Of  int    // entries shown
}

func pageOf(q url.Values) (int, error) {
	text := q.Get("page")
	if text == "" {
		return 0, nil
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 || n > 1_000_000 {
		return 0, wrong("There is no page %q; pages are numbered from 1.", text)
	}
	return n - 1, nil
}

// newPager pages through a known number of entries; at counts pages from 0.
func newPager(u *url.URL, at, total, size int) pager {
	p := pager{From: min(at*size+1, total), To: min((at+1)*size, total), Of: total}
	if at > 0 {
		p.Before = withQuery(u, "page", strconv.Itoa(at))
	}
	if p.To < total {
		p.After = withQuery(u, "page", strconv.Itoa(at+2))
	}
	return p
}

// withQuery is an address with one value of its query changed, and without what it
// said to have been done.
func withQuery(u *url.URL, name, value string) string {
	q := u.Query()
	q.Del("said")
	q.Set(name, value)
	return u.Path + "?" + q.Encode()
}
