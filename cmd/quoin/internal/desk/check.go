package desk

import (
	"bytes"
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"quoin/cmd/quoin/internal/works"
	"quoin/validate"
	"quoin/validate/render"
)

// Check checks a ticket with the engine: it is refused when it has errors. Who asks for
// the check of a ticket that is just being checked shares it.
func (d *Desk) Check(ctx context.Context, k *works.Ticket, body []byte) (works.Checked, error) {
	if k.ID == 0 {
		return d.check(ctx, k, body)
	}
	return d.flights.join(ctx, flightKey{k.ID, k.Version}, func() (works.Checked, error) { return d.check(ctx, k, body) })
}

func (d *Desk) check(ctx context.Context, k *works.Ticket, body []byte) (c works.Checked, err error) {
	begun := time.Now()
	defer func() {
		if err == nil && d.opt.Checked != nil {
			d.opt.Checked(c, time.Since(begun))
		}
	}()
	name := NameOf(k)
	if IsPackage(k.Media, body) {
		name = "package" // the ticket has its own name in it
	}
	r, err := d.Report(ctx, name, k.Media, body)
	if err != nil && ctx.Err() != nil {
		return works.Checked{}, err
	}
	if err != nil { // what can not be read will not be readable when asked again
		return works.Checked{Refused: true, Reason: err.Error(), Errors: 1, Report: unreadable(NameOf(k), err)}, nil
	}
	return d.judged(r)
}

// judged turns a report into what the store keeps of a check.
func (d *Desk) judged(r *validate.Report) (works.Checked, error) {
	r.Update(discreet)
	var text bytes.Buffer
	if err := render.JSON(&text, r); err != nil {
		return works.Checked{}, err
	}
	c := works.Checked{Errors: r.Count(validate.Error), Warnings: r.Count(validate.Warning), Report: text.Bytes()}
	c.Refused = c.Errors > 0
	switch {
	case c.Refused:
		c.Reason = "refused with " + counted(c.Errors, "error")
	case c.Warnings > 0:
		c.Reason = "accepted with " + counted(c.Warnings, "warning")
	default:
		c.Reason = "accepted"
	}
	return c, nil
}

// discreet is a finding that says no address with its user and password: the report is
// kept, and read by others than who sent the ticket.
func discreet(f validate.Finding) validate.Finding {
	f.Facts = slices.Clone(f.Facts)
	for i := range f.Facts {
		f.Facts[i].Value = works.Scrub(f.Facts[i].Value)
	}
	return f
}

// ruleUnreadable is for what could not even be opened, such as a broken package.
var ruleUnreadable = &validate.Rule{
	ID: "desk/unreadable", Severity: validate.Error, Mends: validate.Sender,
	Say: "the ticket {name|q} can not be read: {problem}",
	Do:  "send it again, whole",
	Why: "Nothing can be made of what can not be read.",
}

func unreadable(name string, problem error) []byte {
	r := validate.NewReport(0)
	r.Files = 1
	r.Add(validate.Finding{Rule: ruleUnreadable, Severity: ruleUnreadable.Severity, Facts: []validate.Fact{
		validate.F("name", name), validate.F("problem", problem),
	}})
	r.Finish()
	var text bytes.Buffer
	if err := render.JSON(&text, r); err != nil { // into memory, which takes all
		return nil
	}
	return text.Bytes()
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprint(n, " ", what, "s")
}

// NameOf is the file name of a ticket, in its package where it has one.
func NameOf(k *works.Ticket) string {
	if name, _, numbered := strings.Cut(k.File, Repeated); numbered {
		return name
	}
	if k.File == "" {
		return "ticket"
	}
	return k.File
}

// Repeated parts the name of a file from the number of the message, where several
// messages of one document submit the same file: "a.jdf #2".
const Repeated = " #"
