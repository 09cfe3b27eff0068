package works

import (
	"database/sql"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"quoin/cmd/quoin/internal/database"
)

const ticketColumns = `id, version, job, part, name, customer, product, ordered, due, priority, partner, return_url,
	return_jmf, generation, dialect, inbox, blob, media, file, state, entry, reason, received, changed, outcome,
	errors, warnings, findings, plan, start_at, end_at, returned, place`

func scanTicket(row scanner) (*Ticket, error) {
	k := &Ticket{}
	err := row.Scan(&k.ID, &k.Version, &k.Job, &k.Part, &k.Name, &k.Customer, &k.Product, &k.Ordered, micros{&k.Due},
		&k.Priority, &k.Partner, &k.ReturnURL, &k.ReturnJMF, &k.Generation, &k.Dialect, &k.Inbox, &k.Blob, &k.Media,
		&k.File, &k.State, &k.Entry, &k.Reason, micros{&k.Received}, micros{&k.Changed}, &k.Outcome, &k.Errors,
		&k.Warnings, &k.Findings, &k.Plan, micros{&k.Start}, micros{&k.End}, &k.Return, &k.place)
	k.EntryID = entryID(k.ID)
	return k, err
}

// entryID is the QueueEntryID of a ticket.
func entryID(ticket int64) string { return fmt.Sprintf("Q%06d", ticket) }

// defaultPriority is that of a ticket whose sender gives none: the middle of 0 to
// 100, in which the standard has priorities.
const defaultPriority = 50

// Submit takes a ticket into the store, Submitted, and enqueues its check. What
// was submitted before with the same message and file gives its ticket, as it
// is now. It is ErrUnknown when there is neither a body nor such a message.
func (t *Tx) Submit(s Submission) (*Ticket, error) {
	blob, err := t.content(&s)
	if err != nil {
		return nil, err
	}
	priority, entry := defaultPriority, EntryWaiting
	if s.Priority != nil {
		priority = min(max(*s.Priority, 0), 100)
	}
	if s.Held {
		entry = EntryHeld
	}
	now := database.Micros(t.now)
	source := sql.NullString{String: fmt.Sprintf("%d %s", s.Inbox, s.File), Valid: s.Inbox != 0}
	id, err := t.tx.Insert(`INSERT INTO tickets (version, job, part, name, customer, product, ordered, due, priority,
		place, partner, return_url, return_jmf, generation, dialect, inbox, blob, media, file, state, entry, reason,
		received, changed, outcome, errors, warnings, findings, plan, start_at, end_at, returned, source, search,
		customer_search)
		VALUES (1, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, '', ?, ?, '', 0, 0, '', '', 0, 0, '', ?, ?, ?)
		ON CONFLICT (source) DO NOTHING`, s.Job, s.Part, s.Name, s.Customer, s.Product, s.Ordered,
		database.Micros(s.Due), priority, now, s.Partner, s.ReturnURL, s.ReturnJMF, s.Generation, s.Dialect, s.Inbox, blob,
		s.Media, s.File, string(Submitted), string(entry), now, now, source, searchText(&s),
		strings.ToLower(s.Customer))
	if errors.Is(err, sql.ErrNoRows) {
		return one(t, "ticket of message", s.Inbox, scanTicket,
			"SELECT "+ticketColumns+" FROM tickets WHERE source = ?"+t.lock, source)
	}
	if err != nil {
		return nil, err
	}
	k, err := t.Ticket(id)
	if err != nil {
		return nil, err
	}
	_, err = t.turned(k, "", "submitted")
	return k, err
}

// content is the blob of what is submitted.
func (t *Tx) content(s *Submission) (string, error) {
	if s.Body != nil {
		return t.Keep(s.Body)
	}
	m, err := t.Message(s.Inbox)
	if err != nil {
		return "", err
	}
	if s.Media == "" {
		s.Media = m.Media
	}
	return m.Blob, nil
}

func searchText(s *Submission) string {
	return strings.ToLower(strings.Join([]string{s.Job, s.Part, s.Name, s.Customer, s.Product}, "\n"))
}

// Resubmit gives a ticket another content: it is Submitted again, with the next
// Version, and checked anew. Its place in the queue, its priority and whether it
// is held stay as they are; what the submission says of its return replaces what
// was said before, where it says anything. A ticket that a device has begun, or
// that is over, is a StateError.
func (t *Tx) Resubmit(id int64, s Submission) (*Ticket, error) {
	k, err := t.Ticket(id)
	if err != nil {
		return nil, err
	}
	blob, err := t.content(&s)
	if err != nil {
		return nil, err
	}
	if k.State != Submitted && !k.State.Can(Submitted) {
		return nil, &StateError{What: "ticket", ID: id, Was: string(k.State), To: string(Submitted)}
	}
	k.Version++
	_, err = t.tx.Exec(`UPDATE tickets SET version = ?, job = ?, part = ?, name = ?, customer = ?, product = ?,
		ordered = ?,
		due = ?, generation = ?, blob = ?, media = ?, file = ?, search = ?, customer_search = ?, findings = '', errors = 0, warnings = 0,
			plan = '',
		start_at = 0, end_at = 0 WHERE id = ?`, k.Version, s.Job, s.Part, s.Name, s.Customer, s.Product, s.Ordered,
		database.Micros(s.Due), s.Generation, blob, s.Media, s.File, searchText(&s), strings.ToLower(s.Customer), id)
	if err != nil {
		return nil, err
	}
	_, err = t.tx.Exec(`UPDATE tickets SET return_url = CASE WHEN ? = '' THEN return_url ELSE ? END,
		return_jmf = CASE WHEN ? = '' THEN return_jmf ELSE ? END WHERE id = ?`,
		s.ReturnURL, s.ReturnURL, s.ReturnJMF, s.ReturnJMF, id)
	if err != nil {
		return nil, err
	}
	return t.enter(k, Submitted, "resubmitted")
}

// Ticket gives a ticket, or ErrUnknown. In a Write it is locked until the end, and
// so are its steps, which are only changed by who holds it.
func (t *Tx) Ticket(id int64) (*Ticket, error) {
	return one(t, "ticket", id, scanTicket, "SELECT "+ticketColumns+" FROM tickets WHERE id = ?"+t.lock, id)
}

// TicketOfEntry gives the ticket of a QueueEntryID, as Ticket does.
func (t *Tx) TicketOfEntry(entry string) (*Ticket, error) {
	number, found := strings.CutPrefix(entry, "Q")
	id, err := strconv.ParseInt(number, 10, 64)
	if !found || err != nil || entryID(id) != entry {
		return nil, unknown("queue entry", strconv.Quote(entry))
	}
	return t.Ticket(id)
}

// Tickets lists tickets. It is ErrMark when After is of another order.
func (t *Tx) Tickets(f TicketFilter) ([]*Ticket, error) {
	w := f.where()
	if err := w.after(sortings[f.Order], f.After); err != nil {
		return nil, err
	}
	query := "SELECT " + ticketColumns + " FROM tickets" + w.String() + " ORDER BY " + sortings[f.Order].orderBy
	return all(t, scanTicket, query+w.page(f.Limit, 1000, f.Offset), w.args...)
}

// CountTickets counts what Tickets lists without Limit, Offset and After.
func (t *Tx) CountTickets(f TicketFilter) (n int, err error) {
	w := f.where()
	err = t.tx.QueryRow("SELECT COUNT(*) FROM tickets"+w.String(), w.args...).Scan(&n)
	return n, err
}

func (f *TicketFilter) where() *where {
	w := &where{}
	in(w, "state", f.States)
	in(w, "entry", f.Entries)
	has(w, "partner = ?", f.Partner)
	has(w, "job = ?", f.Job)
	has(w, "id IN (SELECT ticket FROM steps WHERE device = ? AND current = 1)", f.Device)
	has(w, "changed >= ?", database.Micros(f.Since))
	w.holds("search", f.Search)
	w.holds("customer_search", f.Customer)
	return w
}

// holds adds that a column in small letters has a text in it; "" is in all.
func (w *where) holds(column, text string) {
	if text == "" {
		return
	}
	escape := strings.NewReplacer(`\`, `\\`, `%`, `\%`, `_`, `\_`)
	w.and(column+` LIKE ? ESCAPE '\'`, "%"+escape.Replace(strings.ToLower(text))+"%")
}
