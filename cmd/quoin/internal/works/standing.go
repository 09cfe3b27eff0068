package works

import (
	"strconv"

	"quoin/cmd/quoin/internal/database"
)

// SetPriority changes the priority of a ticket, 0 to 100, for as long as it waits
// in the queue. Others are a StateError.
func (t *Tx) SetPriority(id int64, priority int) (*Ticket, error) {
	k, err := t.waiting(id, "priority "+strconv.Itoa(priority))
	if err != nil {
		return nil, err
	}
	return k, t.stand(k, min(max(priority, 0), 100), 0)
}

// Place puts a ticket before another in the queue, and takes the other's priority;
// before 0 puts it at the end. Both have to wait in the queue.
func (t *Tx) Place(id, before int64) (*Ticket, error) {
	if id == before {
		return t.waiting(id, "before itself")
	}
	first, second := id, before // always locked in one order, so that two placings do not wait for each other
	if before != 0 && before < id {
		first, second = before, id
	}
	locked := map[int64]*Ticket{}
	for _, n := range []int64{first, second} {
		if n == 0 {
			continue
		}
		k, err := t.waiting(n, "placed in the queue")
		if err != nil {
			return nil, err
		}
		locked[n] = k
	}
	if before == 0 {
		return t.placeLast(locked[id])
	}
	return t.placeBefore(locked[id], locked[before])
}

// waiting gives a locked ticket that waits in the queue.
func (t *Tx) waiting(id int64, to string) (*Ticket, error) {
	k, err := t.Ticket(id)
	if err == nil && k.Entry != EntryWaiting && k.Entry != EntryHeld {
		err = &StateError{What: "queue entry", ID: id, Was: string(k.Entry), To: to, Why: "only those that wait are ordered"}
	}
	if err != nil {
		return nil, err
	}
	return k, nil
}

// queued chooses the tickets that wait in the queue.
const queued = "entry IN ('Waiting', 'Held')"

func (t *Tx) placeLast(k *Ticket) (*Ticket, error) {
	var priority int
	var place int64
	err := t.tx.QueryRow("SELECT priority, place FROM tickets WHERE "+queued+
		" ORDER BY priority, place DESC, id DESC LIMIT 1").Scan(&priority, &place)
	if err != nil {
		return nil, err
	}
	return k, t.stand(k, priority, max(place+1, database.Micros(t.now)))
}

// placeBefore makes room before a ticket: it and those behind it, of its priority,
// go two places back, which leaves their order as it is and one place free.
func (t *Tx) placeBefore(k, other *Ticket) (*Ticket, error) {
	var place int64
	if err := t.tx.QueryRow("SELECT place FROM tickets WHERE id = ?", other.ID).Scan(&place); err != nil {
		return nil, err
	}
	_, err := t.tx.Exec(`UPDATE tickets SET place = place + 2 WHERE priority = ? AND `+queued+`
		AND (place > ? OR place = ? AND id >= ?)`, other.Priority, place, place, other.ID)
	if err != nil {
		return nil, err
	}
	return k, t.stand(k, other.Priority, place+1)
}

// stand writes where a ticket stands; place 0 leaves that as it is.
func (t *Tx) stand(k *Ticket, priority int, place int64) error {
	k.Priority = priority
	if place == 0 {
		if err := t.tx.QueryRow("SELECT place FROM tickets WHERE id = ?", k.ID).Scan(&place); err != nil {
			return err
		}
	}
	_, err := t.tx.Exec("UPDATE tickets SET priority = ?, place = ? WHERE id = ?", priority, place, k.ID)
	if err == nil {
		err = t.Note(k.ID, 0, "stands in the queue with priority "+strconv.Itoa(priority))
	}
	t.Emit(Event{Kind: EventTicket, Ticket: k.ID, ID: k.ID, State: string(k.State), Text: "queue"})
	return err
}
