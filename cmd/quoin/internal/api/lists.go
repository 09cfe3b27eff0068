package api

import (
	"fmt"
	"net/http"

	"quoin/cmd/quoin/internal/works"
)

func showMe(_ *api, c *call) (*reply, error) {
	m := me{Name: c.who.Name, Roles: []string{}}
	for _, r := range c.who.Roles {
		m.Roles = append(m.Roles, string(r))
	}
	return &reply{value: m}, nil
}

func listDevices(a *api, c *call) (*reply, error) {
	return read(a, c, func(tx *works.Tx) (any, error) {
		list, err := tx.Devices()
		if err != nil {
			return nil, err
		}
		p := page[device]{Items: []device{}}
		for _, d := range list {
			steps, err := tx.DeviceSteps(d.ID)
			if err != nil {
				return nil, err
			}
			p.Items = append(p.Items, device{
				ID: d.ID, Name: d.Name, Dialect: d.Dialect, Reached: reached(d), Heard: when(d.Heard), State: d.State,
				Details: d.Details, Job: d.Job, Part: d.Part, Since: when(d.Since), Counter: d.Counter, Speed: d.Speed,
				Steps: stepsOf(steps),
			})
		}
		return p, nil
	})
}

func reached(d *works.Device) string {
	switch {
	case d.URL != "":
		return "message"
	case d.Folder != "":
		return "folder"
	}
	return "none"
}

func listDeliveries(a *api, c *call) (*reply, error) {
	f := works.DeliveryFilter{Device: c.text("device"), Ticket: c.number("job"), Kind: c.text("kind")}
	for _, s := range c.all("state") {
		f.States = append(f.States, works.DeliveryState(s))
	}
	return read(a, c, func(tx *works.Tx) (any, error) {
		return byMark(c, func(limit int, after works.Mark) ([]*works.Delivery, error) {
			f.Limit, f.After = limit, after
			return tx.Deliveries(f)
		}, (*works.Delivery).Mark, deliveryOf)
	})
}

func deliveryOf(d *works.Delivery) delivery {
	out := delivery{
		ID: d.ID, Message: d.MessageID, Kind: d.Kind, Device: d.Device, Partner: d.Partner, Address: works.Bare(d.Address), Job: d.Ticket,
		Step: d.Step, State: string(d.State), Attempts: d.Attempts, Error: works.Scrub(d.Error), Created: d.Created, Changed: d.Changed,
	}
	if d.Answer != nil {
		out.Status, out.Code = d.Answer.Status, d.Answer.Code
	}
	return out
}

func listChores(a *api, c *call) (*reply, error) {
	f := works.ChoreFilter{Kinds: c.all("kind"), Subject: c.text("subject")}
	for _, s := range c.all("state") {
		f.States = append(f.States, works.ChoreState(s))
	}
	return read(a, c, func(tx *works.Tx) (any, error) {
		return byMark(c, func(limit int, after works.Mark) ([]*works.Chore, error) {
			f.Limit, f.After = limit, after
			return tx.Chores(f)
		}, (*works.Chore).Mark, choreOf)
	})
}

func choreOf(c *works.Chore) chore {
	return chore{c.ID, c.Kind, c.Subject, string(c.State), c.Attempts, c.Due, c.Created, works.Scrub(c.Error)}
}

// choreAction retries or discards a chore; find says which.
func choreAction(logged string, find func(*works.Tx, int64) (int64, error), do func(*works.Tx, int64,
	string) error) func(*api, *call) (*reply, error) {
	return func(a *api, c *call) (*reply, error) {
		var said why
		err := c.said(&said)
		if err == nil {
			said.Reason, err = reasonable(said.Reason)
		}
		if err != nil {
			return nil, err
		}
		id := c.number("id")
		var out chore
		err = a.parts.Store.Write(c.r.Context(), c.who.Name, func(tx *works.Tx) error {
			n, err := find(tx, id)
			if err != nil {
				return err
			}
			if err := do(tx, n, said.Reason); err != nil {
				return err
			}
			if err := tx.Log(logged, path64(id), said.Reason); err != nil {
				return err
			}
			one, err := tx.Chore(n)
			if err == nil {
				out = choreOf(one)
			}
			return err
		})
		return &reply{value: out}, err
	}
}

func itself(_ *works.Tx, id int64) (int64, error) { return id, nil }

// deliveryChore finds the chore that sends a delivery.
func deliveryChore(tx *works.Tx, id int64) (int64, error) {
	if _, err := tx.Delivery(id); err != nil {
		return 0, err
	}
	one, err := tx.ChoreOf(id)
	if err != nil {
		return 0, err
	}
	if one == nil {
		return 0, &problem{Status: http.StatusConflict, Code: "state",
			Detail: fmt.Sprintf("delivery %d waits for nothing", id), Do: "read it again and decide anew"}
	}
	return one.ID, nil
}

func retry(tx *works.Tx, id int64, _ string) error { return tx.Retry(id) }

func discard(tx *works.Tx, id int64, reason string) error { return tx.Discard(id, reason) }

func listAlerts(a *api, c *call) (*reply, error) {
	f := works.AlertFilter{Kind: c.text("kind"), Ticket: c.number("job")}
	for _, s := range c.all("state") {
		f.States = append(f.States, works.AlertState(s))
	}
	return read(a, c, func(tx *works.Tx) (any, error) {
		return byMark(c, func(limit int, after works.Mark) ([]*works.Alert, error) {
			f.Limit, f.After = limit, after
			return tx.Alerts(f)
		}, (*works.Alert).Mark, alertOf)
	})
}

func alertOf(a *works.Alert) alert {
	return alert{
		ID: a.ID, Kind: a.Kind, Key: a.Key, Severity: a.Severity, Text: works.Scrub(a.Text), Job: a.Ticket, Device: a.Device,
		State: string(a.State), First: a.First, Last: a.Last, Count: a.Count, Who: a.Who, Acknowledged: when(a.Acked),
		Closed: when(a.Closed),
	}
}

func acknowledge(a *api, c *call) (*reply, error) {
	var out alert
	err := a.parts.Store.Write(c.r.Context(), c.who.Name, func(tx *works.Tx) error {
		one, err := tx.AcknowledgeAlert(c.number("id"))
		if err != nil {
			return err
		}
		out = alertOf(one)
		return tx.Log("alert.acknowledge", path64(one.ID), one.Text)
	})
	return &reply{value: out}, err
}

func listMessages(a *api, c *call) (*reply, error) {
	f := works.MessageFilter{Partner: c.text("partner"), Unanswered: c.text("unanswered") == "yes"}
	return read(a, c, func(tx *works.Tx) (any, error) {
		return byID(c, func(limit int, before int64) ([]*works.Message, error) {
			f.Limit, f.Before = limit, before
			return tx.Messages(f)
		}, func(m *works.Message) int64 { return m.ID }, messageOf)
	})
}

func showMessage(a *api, c *call) (*reply, error) {
	return read(a, c, func(tx *works.Tx) (any, error) {
		m, err := tx.Message(c.number("id"))
		if err != nil {
			return nil, err
		}
		return messageOf(m), nil
	})
}

// showBody gives what came in, as it came.
func showBody(a *api, c *call) (*reply, error) {
	var name string
	data, err := works.Ask(c.r.Context(), a.parts.Store, func(tx *works.Tx) ([]byte, error) {
		m, err := tx.Message(c.number("id"))
		if err != nil {
			return nil, err
		}
		name = m.Name
		return tx.Blob(m.Blob)
	})
	return &reply{media: "application/octet-stream", body: data, name: fileName(name)}, err
}

func messageOf(m *works.Message) message {
	out := message{
		ID: m.ID, Partner: m.Partner, Source: string(m.Source), Name: m.Name, Media: m.Media, Message: m.MessageID, Size: m.Size,
		At: m.At, Clash: m.Clash, Repeats: m.Repeats,
	}
	if m.Answer != nil {
		out.Answered, out.Status, out.Code = when(m.Answer.At), m.Answer.Status, m.Answer.Code
	}
	return out
}

func listRecords(a *api, c *call) (*reply, error) {
	f := works.RecordFilter{Who: c.text("who"), Action: c.text("action"), Subject: c.text("subject")}
	return read(a, c, func(tx *works.Tx) (any, error) {
		return byID(c, func(limit int, before int64) ([]works.Record, error) {
			f.Limit, f.Before = limit, before
			return tx.Records(f)
		}, func(r works.Record) int64 { return r.ID }, func(r works.Record) record {
			return record{r.ID, r.At, r.Who, r.Instance, r.Action, r.Subject, r.Detail}
		})
	})
}
