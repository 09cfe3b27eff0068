package works

// Check takes the result of a check into a ticket that is Submitted: it is
// Accepted, or Refused. A ticket of another version is a StateError.
func (t *Tx) Check(id int64, c Checked) (*Ticket, error) {
	to := Accepted
	if c.Refused {
		to = Refused
	}
	if _, err := t.versioned(id, c.Version, to); err != nil {
		return nil, err
	}
	blob, err := t.Keep(c.Report)
	if err != nil {
		return nil, err
	}
	k, err := t.Move(id, to, c.Reason)
	if err != nil {
		return nil, err
	}
	k.Errors, k.Warnings, k.Findings = c.Errors, c.Warnings, blob
	_, err = t.tx.Exec("UPDATE tickets SET errors = ?, warnings = ?, findings = ? WHERE id = ?",
		c.Errors, c.Warnings, blob, id)
	return k, err
}
