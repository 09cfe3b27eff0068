package works

import "quoin/cmd/quoin/internal/database"

// Log adds a record of what who writes has done. Records are never changed; only
// retention takes those out that are older than a plant wants to keep.
func (t *Tx) Log(action, subject, detail string) error {
	_, err := t.tx.Exec("INSERT INTO log (at, who, instance, action, subject, detail) VALUES (?, ?, ?, ?, ?, ?)",
		database.Micros(t.now), t.who, t.s.instance, action, Scrub(subject), Scrub(detail))
	return err
}

// Records lists the log, newest first.
func (t *Tx) Records(f RecordFilter) ([]Record, error) {
	var w where
	has(&w, "who = ?", f.Who)
	has(&w, "action = ?", f.Action)
	has(&w, "subject = ?", f.Subject)
	has(&w, "id < ?", f.Before)
	return all(t, func(row scanner) (r Record, err error) {
		return r, row.Scan(&r.ID, micros{&r.At}, &r.Who, &r.Instance, &r.Action, &r.Subject, &r.Detail)
	}, "SELECT id, at, who, instance, action, subject, detail FROM log"+w.String()+" ORDER BY id DESC"+
		w.page(f.Limit, 100, 0), w.args...)
}
