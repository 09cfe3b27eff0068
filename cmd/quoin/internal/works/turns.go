package works

import (
	"quoin/cmd/quoin/internal/database"
)

// turn adds a change to the history of a ticket, and gives its number.
func (t *Tx) turn(n Turn) (int64, error) {
	return t.tx.Insert(`INSERT INTO turns (ticket, step, name, at, from_state, to_state, reason, who, instance)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`, n.Ticket, n.Step, n.Name, database.Micros(t.now), n.From, n.To, Scrub(n.Reason),
		t.who, t.s.instance)
}

// History lists the changes of a ticket and its steps, oldest first.
func (t *Tx) History(ticket int64) ([]Turn, error) {
	return all(t, func(row scanner) (n Turn, err error) {
		return n, row.Scan(&n.ID, &n.Ticket, &n.Step, &n.Name, micros{&n.At}, &n.From, &n.To, &n.Reason, &n.Who, &n.Instance)
	}, `SELECT id, ticket, step, name, at, from_state, to_state, reason, who, instance FROM turns
		WHERE ticket = ? ORDER BY id`, ticket)
}

// Note adds a line to the history of a ticket, or of one of its steps, that
// changes no state: From and To are "".
func (t *Tx) Note(ticket, step int64, text string) error {
	_, err := t.turn(Turn{Ticket: ticket, Step: step, Reason: text})
	return err
}
