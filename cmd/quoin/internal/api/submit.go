package api

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strings"

	"quoin/cmd/quoin/internal/desk"
	"quoin/cmd/quoin/internal/works"
)

// isKey reports whether an Idempotency-Key is up to 200 visible ASCII characters.
func isKey(key string) bool {
	const most = 200
	return key != "" && len(key) <= most && !strings.ContainsFunc(key, func(r rune) bool { return r < '!' || r > '~' })
}

// submitJob takes the tickets of a body into the store. The body is kept in the inbox
// under the Idempotency-Key, which gives the same jobs however often it is sent.
func submitJob(a *api, c *call) (*reply, error) {
	d, err := c.document()
	if err != nil {
		return nil, err
	}
	key := c.r.Header.Get("Idempotency-Key")
	if key != "" && !isKey(key) {
		return nil, &problem{Status: http.StatusBadRequest, Code: "key-wrong", Where: "header Idempotency-Key",
			Detail: "the key is not of 1 to 200 visible letters of ASCII", Do: "send a UUID, a new one for each ticket"}
	}
	tickets, err := a.tickets(d)
	if err != nil {
		return nil, err
	}
	got, err := a.received(c, d, key)
	if err != nil {
		return nil, err
	}
	ids, err := a.submitted(c, got, tickets)
	if err != nil {
		return nil, err
	}
	if c.text("wait") != "no" {
		for _, id := range ids {
			if _, err := a.parts.Flow.CheckNow(c.r.Context(), id); err != nil {
				a.parts.Log.WarnContext(c.r.Context(), "check is left to its chore", "ticket", id, "error", err)
			}
		}
	}
	jobs := page[*wholeJob]{Items: []*wholeJob{}}
	err = a.parts.Store.Read(c.r.Context(), func(tx *works.Tx) error {
		jobs.Items = jobs.Items[:0]
		for _, id := range ids {
			k, err := tx.Ticket(id)
			if err != nil {
				return err
			}
			j, err := whole(tx, k)
			if err != nil {
				return err
			}
			jobs.Items = append(jobs.Items, j)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	h := http.Header{"Location": {Prefix + "/jobs/" + path64(ids[0])}}
	if got.Same {
		h.Set("Idempotency-Replayed", "true")
	}
	return &reply{value: jobs, header: h}, nil
}

// tickets describes the tickets of a body.
func (a *api) tickets(d document) ([]works.Submission, error) {
	items, err := desk.Items(d.name, d.media, d.data)
	if err != nil {
		return nil, unreadable(err)
	}
	var list []works.Submission
	for _, i := range items {
		if !i.Document.Kind.Message() {
			s := a.parts.Desk.Describe(i.Document)
			s.File, s.Media = i.Name, d.media
			list = append(list, s)
		}
	}
	if len(list) == 0 {
		return nil, &problem{Status: http.StatusUnprocessableEntity, Code: "no-ticket", Where: "body",
			Detail: fmt.Sprintf("there is no ticket in %q",
				d.name), Do: "send a JDF or XJDF; messages are sent to /jmf"}
	}
	return list, nil
}

// received keeps the body. The same key with another content is refused.
func (a *api) received(c *call, d document, key string) (got works.Received, err error) {
	in := works.Incoming{
		Partner: c.who.Name, Source: works.ByUpload, Origin: c.r.RemoteAddr, Name: d.name, Media: d.media, Body: d.data,
	}
	if key != "" {
		in.MessageID = "key " + key
	}
	if got, err = a.parts.Store.Receive(c.r.Context(), in); err != nil || got.Clash == 0 {
		return got, err
	}
	err = a.parts.Store.Write(c.r.Context(), c.who.Name,
		func(tx *works.Tx) error { // it is not to look as if it waited
			_, err := tx.Answer(got.ID, works.Answer{Status: http.StatusUnprocessableEntity})
			return err
		})
	if err == nil {
		err = &problem{Status: http.StatusUnprocessableEntity, Code: "key-used", Where: "header Idempotency-Key",
			Detail: "the key was sent before with another body", Do: "send a new key for a new ticket"}
	}
	return got, err
}

// submitted makes the jobs of a body, or finds those that were made of it before.
func (a *api) submitted(c *call, got works.Received, tickets []works.Submission) (ids []int64, err error) {
	err = a.parts.Store.Write(c.r.Context(), c.who.Name, func(tx *works.Tx) error {
		ids = nil
		m, err := tx.Message(got.ID) // locked, so that of two requests with one key one waits
		if err != nil {
			return err
		}
		if m.Answer != nil {
			return json.Unmarshal(m.Answer.Body, &ids)
		}
		for _, s := range tickets {
			s.Partner, s.Inbox, s.Held = c.who.Name, got.ID, c.text("held") == "yes"
			k, err := tx.Submit(s)
			if err != nil {
				return err
			}
			ids = append(ids, k.ID)
			if err := tx.Log("ticket.submit", path64(k.ID), got.Name); err != nil {
				return err
			}
		}
		text, err := json.Marshal(ids)
		if err != nil {
			return err
		}
		_, err = tx.Answer(got.ID, works.Answer{Status: http.StatusCreated, Media: "application/json", Body: text})
		return err
	})
	if err == nil && len(ids) == 0 {
		err = errors.New("the body made no job")
	}
	return ids, err
}
