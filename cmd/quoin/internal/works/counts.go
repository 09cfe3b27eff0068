package works

import "database/sql"

// Counts gives numbers of rows by state.
func (t *Tx) Counts() (*Counts, error) {
	n := &Counts{
		Tickets: map[State]int{}, Chores: map[string]map[ChoreState]int{},
		Deliveries: map[DeliveryState]int{}, Alerts: map[AlertState]int{},
	}
	var first, second string
	var count int
	by := func(take func()) func(*sql.Rows) error {
		return func(rows *sql.Rows) error {
			if err := rows.Scan(&first, &second, &count); err != nil {
				return err
			}
			take()
			return nil
		}
	}
	for _, q := range []struct {
		query string
		take  func()
	}{
		{"SELECT state, '', COUNT(*) FROM tickets GROUP BY state", func() { n.Tickets[State(first)] = count }},
		{"SELECT state, '', COUNT(*) FROM deliveries GROUP BY state", func() { n.Deliveries[DeliveryState(first)] = count }},
		{"SELECT state, '', COUNT(*) FROM alerts GROUP BY state", func() { n.Alerts[AlertState(first)] = count }},
		{"SELECT kind, state, COUNT(*) FROM chores WHERE state NOT IN ('done', 'discarded') GROUP BY kind, state", func() {
			if n.Chores[first] == nil {
				n.Chores[first] = map[ChoreState]int{}
			}
			n.Chores[first][ChoreState(second)] = count
		}},
	} {
		if err := t.tx.Each(by(q.take), q.query); err != nil {
			return nil, err
		}
	}
	if err := t.tx.QueryRow("SELECT COUNT(*) FROM inbox").Scan(&n.Messages); err != nil {
		return nil, err
	}
	var oldest sql.NullInt64
	if err := t.tx.QueryRow("SELECT MIN(next) FROM chores WHERE next IS NOT NULL").Scan(&oldest); err != nil {
		return nil, err
	}
	if err := (micros{&n.Oldest}).Scan(oldest.Int64); err != nil {
		return nil, err
	}
	var err error
	n.Events, err = t.LastEvent()
	return n, err
}
