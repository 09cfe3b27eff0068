package works

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"fmt"

	"quoin/cmd/quoin/internal/database"
)

// Receive stores a document. When it returns without an error the document is on
// the disk, and may be acknowledged.
func (s *Store) Receive(ctx context.Context, in Incoming) (got Received, err error) {
	blob := hash(in.Body)
	err = s.Write(ctx, "", func(tx *Tx) error {
		got, err = tx.take(in, blob)
		return err
	})
	if err != nil {
		return Received{}, fmt.Errorf("store message: %w", err)
	}
	return got, nil
}

// take writes one document, or finds the one that it repeats.
func (t *Tx) take(in Incoming, blob string) (got Received, err error) {
	same := sameness(in, blob)
	if in.Afresh && same.Valid {
		if _, err := t.tx.Exec("UPDATE inbox SET same = NULL WHERE same = ?", same); err != nil {
			return got, err
		}
	}
	clash, err := t.clash(in, blob)
	if err != nil {
		return got, err
	}
	if _, err := t.keep(blob, in.Body); err != nil {
		return got, err
	}
	id, err := t.tx.Insert(`INSERT INTO inbox (partner, source, origin, name, media, message_id, blob, size, at, clash,
		same) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (same) DO NOTHING`, in.Partner, string(in.Source),
		in.Origin, in.Name, in.Media, in.MessageID, blob, len(in.Body), database.Micros(t.now), clash, same)
	if errors.Is(err, sql.ErrNoRows) {
		got.Same = true
		err = t.tx.QueryRow("UPDATE inbox SET repeats = repeats + 1 WHERE same = ? RETURNING id", same).Scan(&id)
	}
	if err != nil {
		return got, err
	}
	got.Message, err = t.Message(id)
	return got, err
}

// sameness is what two documents have in common of which the second repeats the
// first: sender, id and content, or folder and content. Nothing else tells a
// repetition from a second order of the same thing.
func sameness(in Incoming, blob string) sql.NullString {
	if in.MessageID == "" && in.Source != ByFolder {
		return sql.NullString{}
	}
	sum := sha256.Sum256(fmt.Appendf(nil, "%q %q %q %s", in.Source, in.Partner, in.MessageID, blob))
	return sql.NullString{String: hex.EncodeToString(sum[:]), Valid: true}
}

// clash finds a message of the same sender and id with another content.
func (t *Tx) clash(in Incoming, blob string) (id int64, err error) {
	if in.MessageID == "" {
		return 0, nil
	}
	err = t.tx.QueryRow(`SELECT id FROM inbox WHERE partner = ? AND message_id = ? AND blob <> ? ORDER BY id LIMIT 1`,
		in.Partner, in.MessageID, blob).Scan(&id)
	if errors.Is(err, sql.ErrNoRows) {
		err = nil
	}
	return id, err
}

const messageColumns = `id, partner, source, origin, name, media, message_id, blob, size, at, clash, repeats,
	answered, answer_status, answer_code, answer_media, answer_blob`

// messageRow is a row of the inbox.
type messageRow struct {
	Message
	answer Answer
	blob   string // of the answer
}

func scanMessage(row scanner) (*messageRow, error) {
	m := &messageRow{}
	err := row.Scan(&m.ID, &m.Partner, &m.Source, &m.Origin, &m.Name, &m.Media, &m.MessageID, &m.Blob, &m.Size,
		micros{&m.At}, &m.Clash, &m.Repeats, micros{&m.answer.At}, &m.answer.Status, &m.answer.Code, &m.answer.Media, &m.blob)
	if !m.answer.At.IsZero() {
		m.Answer = &m.answer
	}
	return m, err
}

// Message gives a message of the inbox, with its answer, or ErrUnknown. In a
// Write it is locked until the end, so that only one answers it.
func (t *Tx) Message(id int64) (*Message, error) {
	m, err := one(t, "message", id, scanMessage, "SELECT "+messageColumns+" FROM inbox WHERE id = ?"+t.lock, id)
	if err != nil || m.Answer == nil || m.blob == "" {
		return &m.Message, err
	}
	m.Answer.Body, err = t.Blob(m.blob)
	return &m.Message, err
}

// Messages lists the inbox, newest first, without the bodies of the answers.
func (t *Tx) Messages(f MessageFilter) ([]*Message, error) {
	var w where
	has(&w, "partner = ?", f.Partner)
	has(&w, "id < ?", f.Before)
	if f.Unanswered {
		w.and("answered = 0")
	}
	rows, err := all(t, scanMessage, "SELECT "+messageColumns+" FROM inbox"+w.String()+" ORDER BY id DESC"+
		w.page(f.Limit, 100, 0), w.args...)
	list := make([]*Message, len(rows))
	for i, m := range rows {
		list[i] = &m.Message
	}
	return list, err
}

// Answer stores the answer to a message, and gives the one that stands: the
// first that was stored.
func (t *Tx) Answer(message int64, a Answer) (*Answer, error) {
	m, err := t.Message(message)
	if err != nil || m.Answer != nil {
		return m.Answer, err
	}
	blob, err := t.Keep(a.Body)
	if err != nil {
		return nil, err
	}
	a.At = t.now
	_, err = t.tx.Exec(`UPDATE inbox SET answered = ?, answer_status = ?, answer_code = ?, answer_media = ?,
		answer_blob = ?
		WHERE id = ?`, database.Micros(a.At), a.Status, a.Code, a.Media, blob, message)
	return &a, err
}
