package api

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"time"

	"quoin/cmd/quoin/internal/desk"
	"quoin/cmd/quoin/internal/works"
	"quoin/convert/plan"
)

var orders = map[string]works.Order{"queue": works.ByQueue, "due": works.ByDue, "change": works.ByChange}

func listJobs(a *api, c *call) (*reply, error) {
	f := works.TicketFilter{
		Partner: c.text("partner"), Job: c.text("job"), Device: c.text("device"), Search: c.text("search"),
		Customer: c.text("customer"), Since: c.moment("since", a.zone()), Order: orders[c.text("order")],
	}
	if !c.reads() {
		f.Partner = c.who.Name
	}
	for _, s := range c.all("state") {
		f.States = append(f.States, works.State(s))
	}
	return read(a, c, func(tx *works.Tx) (any, error) {
		return byMark(c, func(limit int, after works.Mark) ([]*works.Ticket, error) {
			f.Limit, f.After = limit, after
			return tx.Tickets(f)
		}, func(k *works.Ticket) works.Mark { return k.Mark(f.Order) }, jobOf)
	})
}

// read answers with what is found in one transaction.
func read(a *api, c *call, f func(*works.Tx) (any, error)) (*reply, error) {
	value, err := works.Ask(c.r.Context(), a.parts.Store, f)
	if err != nil {
		return nil, err
	}
	return &reply{value: value}, nil
}

// ticketOf is the job in the path. One that is another's is told as unknown.
func (c *call) ticketOf(tx *works.Tx) (*works.Ticket, error) {
	k, err := tx.Ticket(c.number("id"))
	if err == nil && !c.reads() && k.Partner != c.who.Name {
		err = unknown(fmt.Sprintf("ticket %d is not in the store", c.number("id")))
	}
	return k, err
}

func showJob(a *api, c *call) (*reply, error) {
	j, err := works.Ask(c.r.Context(), a.parts.Store, func(tx *works.Tx) (*wholeJob, error) {
		k, err := c.ticketOf(tx)
		if err != nil {
			return nil, err
		}
		return whole(tx, k)
	})
	if err != nil {
		return nil, err
	}
	return &reply{value: j, header: http.Header{"Etag": {tagOf(j)}}}, nil
}

func showSteps(a *api, c *call) (*reply, error) {
	return read(a, c, func(tx *works.Tx) (any, error) {
		k, err := c.ticketOf(tx)
		if err != nil {
			return nil, err
		}
		list := tx.Steps
		if c.text("all") == "yes" {
			list = tx.AllSteps
		}
		steps, err := list(k.ID)
		return page[step]{Items: stepsOf(steps)}, err
	})
}

func showHistory(a *api, c *call) (*reply, error) {
	return read(a, c, func(tx *works.Tx) (any, error) {
		k, err := c.ticketOf(tx)
		if err != nil {
			return nil, err
		}
		turns, err := tx.History(k.ID)
		p := page[turn]{Items: []turn{}}
		for _, t := range turns {
			p.Items = append(p.Items, turn{t.At, t.Step, t.Name, t.From, t.To, t.Reason, t.Who, t.Instance})
		}
		return p, err
	})
}

// kept reads contents of a job: which picks the blob.
func (a *api) kept(c *call, what string, which func(*works.Tx, *works.Ticket) (string, error)) ([]byte,
	*works.Ticket, error) {
	var k *works.Ticket
	data, err := works.Ask(c.r.Context(), a.parts.Store, func(tx *works.Tx) (data []byte, err error) {
		if k, err = c.ticketOf(tx); err != nil {
			return nil, err
		}
		blob, err := which(tx, k)
		if err != nil {
			return nil, err
		}
		if blob != "" {
			data, err = tx.Blob(blob)
		}
		if blob == "" || errors.Is(err, works.ErrUnknown) {
			err = &problem{Status: http.StatusNotFound, Code: "not-there", Where: "path",
				Detail: fmt.Sprintf("job %d has no %s, or no longer: contents are kept for a time only", k.ID, what),
				Do:     "look at the state of the job"}
		}
		return data, err
	})
	return data, k, err
}

func showFindings(a *api, c *call) (*reply, error) {
	data, _, err := a.kept(c, "findings", func(_ *works.Tx, k *works.Ticket) (string,
		error) {
		return k.Findings, nil
	})
	return &reply{media: "application/json", body: data}, err
}

func showPlan(a *api, c *call) (*reply, error) {
	data, _, err := a.kept(c, "plan", planBlob)
	return &reply{media: "application/json", body: data}, err
}

func planBlob(_ *works.Tx, k *works.Ticket) (string, error) { return k.Plan, nil }

func showSheet(a *api, c *call) (*reply, error) {
	data, k, err := a.kept(c, "plan", planBlob)
	if err != nil {
		return nil, err
	}
	var pl plan.Plan
	if err := json.Unmarshal(data, &pl); err != nil {
		return nil, fmt.Errorf("read the plan of ticket %d: %w", k.ID, err)
	}
	for _, s := range pl.Sheets {
		if s.Name != c.text("sheet") {
			continue
		}
		var picture bytes.Buffer
		err := plan.SVG(&picture, &pl, s.Name)
		policy := http.Header{"Content-Security-Policy": {"default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'"}}
		return &reply{media: "image/svg+xml", body: picture.Bytes(), header: policy}, err
	}
	return nil, unknown(fmt.Sprintf("the plan of job %d has no sheet %q", k.ID, c.text("sheet")))
}

// showSource gives the ticket as it came. What others wrote is saved, and never shown.
func showSource(a *api, c *call) (*reply, error) {
	data, k, err := a.kept(c, "ticket", func(_ *works.Tx, k *works.Ticket) (string, error) { return k.Blob, nil })
	if err != nil {
		return nil, err
	}
	return &reply{media: "application/octet-stream", body: data, name: fileName(desk.NameOf(k))}, nil
}

func showDeviceTicket(a *api, c *call) (*reply, error) {
	name := ""
	data, _, err := a.kept(c, "device ticket of this step", func(tx *works.Tx, k *works.Ticket) (string, error) {
		s, err := tx.Step(c.number("step"))
		if err != nil {
			return "", err
		}
		if s.Ticket != k.ID {
			return "", unknown(fmt.Sprintf("step %d does not belong to job %d", s.ID, k.ID))
		}
		name = s.TicketName
		return s.TicketBlob, nil
	})
	return &reply{media: "application/octet-stream", body: data, name: fileName(name)}, err
}

func (a *api) zone() *time.Location {
	if a.parts.Plant != nil && a.parts.Plant.Zone != nil {
		return a.parts.Plant.Zone
	}
	return time.UTC
}

func path64(id int64) string { return strconv.FormatInt(id, 10) }
