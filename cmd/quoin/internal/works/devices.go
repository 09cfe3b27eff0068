package works

import "quoin/cmd/quoin/internal/database"

const deviceColumns = "id, name, url, folder, dialect, removed, heard, state, details, job, part, since, counter, speed"

func scanDevice(row scanner) (*Device, error) {
	d := &Device{}
	var removed int64
	err := row.Scan(&d.ID, &d.Name, &d.URL, &d.Folder, &d.Dialect, &removed, micros{&d.Heard}, &d.State, &d.Details,
		&d.Job, &d.Part, micros{&d.Since}, &d.Counter, &d.Speed)
	d.Removed = removed != 0
	return d, err
}

// KeepDevices makes the devices of the plant known, by their ID, Name, URL, Folder
// and Dialect. Those that are known already keep what they have said; those that
// are not among them are marked as removed.
func (t *Tx) KeepDevices(plant []Device) error {
	if _, err := t.tx.Exec("UPDATE devices SET removed = 1"); err != nil {
		return err
	}
	for _, d := range plant {
		_, err := t.tx.Exec(`INSERT INTO devices (id, name, url, folder, dialect, removed) VALUES (?, ?, ?, ?, ?, 0)
			ON CONFLICT (id) DO UPDATE SET name = excluded.name, url = excluded.url, folder = excluded.folder,
			dialect = excluded.dialect, removed = 0`, d.ID, d.Name, d.URL, d.Folder, d.Dialect)
		if err != nil {
			return err
		}
	}
	return nil
}

// Devices lists the devices of the plant by their id, without those removed.
func (t *Tx) Devices() ([]*Device, error) {
	return all(t, scanDevice, "SELECT "+deviceColumns+" FROM devices WHERE removed = 0 ORDER BY id")
}

// Device gives a device, also one that was removed, or ErrUnknown. In a Write it is
// locked until the end.
func (t *Tx) Device(id string) (*Device, error) {
	return one(t, "device", id, scanDevice, "SELECT "+deviceColumns+" FROM devices WHERE id = ?"+t.lock, id)
}

// Hear takes what a device says of itself. News that are older than what it has
// said before leave its state as it is. A device that is not known is ErrUnknown.
func (t *Tx) Hear(n DeviceNews) (*Device, error) {
	d, err := t.Device(n.ID)
	if err != nil {
		return nil, err
	}
	at := n.At
	if at.IsZero() {
		at = t.now
	}
	var said int64
	if err := t.tx.QueryRow("SELECT said FROM devices WHERE id = ?", n.ID).Scan(&said); err != nil {
		return nil, err
	}
	d.Heard = t.now
	before := *d
	if database.Micros(at) >= said && n.State != "" {
		said = database.Micros(at)
		if d.State != n.State {
			d.Since = at
		}
		d.State, d.Details, d.Job, d.Part = n.State, n.Details, n.Job, n.Part
		d.Counter, d.Speed = either(n.Counter, d.Counter), either(n.Speed, d.Speed)
	}
	_, err = t.tx.Exec(`UPDATE devices SET heard = ?, said = ?, state = ?, details = ?, job = ?, part = ?, since = ?,
		counter = ?, speed = ? WHERE id = ?`, database.Micros(d.Heard), said, d.State, d.Details, d.Job, d.Part,
		database.Micros(d.Since), d.Counter, d.Speed, d.ID)
	if *d != before {
		t.Emit(Event{Kind: EventDevice, Device: d.ID, State: d.State, Text: d.Details})
	}
	return d, err
}

func either(word, other string) string {
	if word != "" {
		return word
	}
	return other
}
