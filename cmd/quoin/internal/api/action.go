package api

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"strings"

	"quoin/cmd/quoin/internal/works"
)

// why is the body of an action: people read the reason in the history of the job.
type why struct {
	Reason string `json:"reason" doc:"why, for the history; 1 to 500 letters"`
}

// whyPriority is the body of a change of priority.
type whyPriority struct {
	Reason   string `json:"reason" doc:"why, for the history; 1 to 500 letters"`
	Priority *int   `json:"priority,omitempty" doc:"0 to 100, higher first; needed for priority alone"`
}

func badField(field, detail string) error {
	return &problem{Status: http.StatusUnprocessableEntity, Code: "field-wrong", Where: "body " + field,
		Detail: detail,
		Do:     "mend the field and ask again"}
}

// mostReason is how many letters a reason may have, mostSaid how many bytes a body of JSON.
const (
	mostReason = 500
	mostSaid   = 16 << 10
)

// said reads the body of an action.
func (c *call) said(into any) error {
	media, _, err := mime.ParseMediaType(c.r.Header.Get("Content-Type"))
	if err != nil || media != "application/json" {
		return &problem{Status: http.StatusUnsupportedMediaType, Code: "media-type", Where: "header Content-Type",
			Detail: fmt.Sprintf("the body is %q; want application/json",
				c.r.Header.Get("Content-Type")), Do: "send JSON"}
	}
	dec := json.NewDecoder(http.MaxBytesReader(c.w, c.r.Body, mostSaid))
	dec.DisallowUnknownFields()
	if err = dec.Decode(into); err == nil {
		if _, err = dec.Token(); err == io.EOF {
			return nil
		} else if err == nil {
			err = errors.New("there is more behind the object")
		}
	}
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return err
	}
	return &problem{Status: http.StatusBadRequest, Code: "body-wrong", Where: "body",
		Detail: "the body can not be read: " + err.Error(), Do: "send one JSON object as it is described"}
}

func reasonable(reason string) (string, error) {
	reason = strings.TrimSpace(reason)
	if strings.ContainsRune(reason, 0) {
		return "", badField("reason", "reason has a letter NUL; want text")
	}
	if n := len([]rune(reason)); n == 0 || n > mostReason {
		return "", badField("reason", fmt.Sprintf("reason has %d letters; want 1 to %d", n, mostReason))
	}
	return reason, nil
}

// act makes the handler of an action.
func act(one works.Action) func(*api, *call) (*reply, error) {
	return func(a *api, c *call) (*reply, error) {
		return a.onJob(c, one.Number, func(tx *works.Tx, k *works.Ticket, said whyPriority) error {
			asked := works.Asked{Reason: said.Reason}
			if one.Number {
				if said.Priority == nil || *said.Priority < 0 || *said.Priority > 100 {
					return badField("priority", "priority is missing or out of range; want a whole number from 0 to 100")
				}
				asked.Priority = *said.Priority
			}
			return tx.Act(one, k, asked)
		})
	}
}

func retryStep(a *api, c *call) (*reply, error) {
	return a.onJob(c, false, func(tx *works.Tx, k *works.Ticket, said whyPriority) error {
		return tx.RetryStep(k.ID, c.number("step"), said.Reason)
	})
}

// onJob does something to a job, if it is still as who asks has seen it. It answers with
// the job as it is then.
func (a *api) onJob(
	c *call, more bool, do func(*works.Tx, *works.Ticket, whyPriority) error,
) (*reply, error) {
	var said whyPriority
	err := c.said(&said)
	if err == nil && !more && said.Priority != nil {
		err = badField("priority", "priority is given, and this action takes none")
	}
	if err == nil {
		said.Reason, err = reasonable(said.Reason)
	}
	if err != nil {
		return nil, err
	}
	id := c.number("id")
	var out *wholeJob
	err = a.parts.Store.Write(c.r.Context(), c.who.Name, func(tx *works.Tx) error {
		k, err := tx.Ticket(id)
		if err != nil {
			return err
		}
		seen, err := whole(tx, k)
		if err != nil {
			return err
		}
		if tag := tagOf(seen); !matches(c.r.Header.Get("If-Match"), tag) {
			return &problem{Status: http.StatusPreconditionFailed, Code: "match", Where: "header If-Match",
				Detail: fmt.Sprintf("job %d is no longer as it was read; it is %s now", id,
					k.State), Do: "read it again and decide anew"}
		}
		if err := do(tx, k, said); err != nil {
			return err
		}
		if k, err = tx.Ticket(id); err != nil {
			return err
		}
		out, err = whole(tx, k)
		return err
	})
	if err != nil {
		return nil, err
	}
	return &reply{value: out, header: http.Header{"Etag": {tagOf(out)}}}, nil
}

// whole reads a job with its steps.
func whole(tx *works.Tx, k *works.Ticket) (*wholeJob, error) {
	steps, err := tx.Steps(k.ID)
	if err != nil {
		return nil, err
	}
	j := &wholeJob{job: jobOf(k), Steps: stepsOf(steps), Actions: []string{}}
	for _, one := range works.Actions() {
		if one.Can(k) {
			j.Actions = append(j.Actions, one.Name)
		}
	}
	return j, nil
}

// tagOf is the entity tag of a job: it changes with everything that is shown of it.
func tagOf(j *wholeJob) string {
	text, err := json.Marshal(j)
	if err != nil { // it is made of texts, numbers and times of four-digit years
		return `"unknown"`
	}
	sum := sha256.Sum256(text)
	return `"` + hex.EncodeToString(sum[:12]) + `"`
}
