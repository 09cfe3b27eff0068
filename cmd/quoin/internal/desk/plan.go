package desk

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"quoin/cmd/quoin/internal/works"
	"quoin/cmd/quoin/internal/works/flow"
	"quoin/convert/emit"
	"quoin/convert/plan"
	"quoin/convert/plan/schedule"
	"quoin/jdf/job"
	"quoin/jdf/value"
	"quoin/validate"
)

// Plan plans a ticket, and finds the earliest time at which its machines are free
// for it. Without a plan the error is a *flow.Unplannable.
func (d *Desk) Plan(ctx context.Context, k *works.Ticket, body []byte) (works.Laid, error) {
	item, err := Ticket(NameOf(k), k.Media, body)
	if err != nil {
		return works.Laid{}, &flow.Unplannable{Reason: err.Error()}
	}
	j := job.Decode(item.Document)
	pl, findings := plan.Make(j, d.opt.Plant, plan.Options{})
	if pl == nil {
		return works.Laid{}, &flow.Unplannable{Reason: reasons(findings)}
	}
	text, err := json.Marshal(pl)
	if err != nil {
		return works.Laid{}, fmt.Errorf("write plan: %w", err)
	}
	laid := works.Laid{Plan: text}
	d.laying.Lock()
	defer d.laying.Unlock()
	times, err := d.lay(ctx, k.ID, schedule.WorkOf(pl, j))
	if err != nil {
		return works.Laid{}, err
	}
	laid.Steps = flow.Steps(pl, times)
	for _, s := range times {
		if laid.Start.IsZero() || s.Start.Before(laid.Start) {
			laid.Start = s.Start
		}
		if s.End.After(laid.End) {
			laid.End = s.End
		}
	}
	return laid, nil
}

// reasons puts the first findings in one sentence.
func reasons(findings []validate.Finding) string {
	var all []string
	for _, f := range findings {
		if f.Severity == validate.Error && len(all) < 3 {
			all = append(all, f.Message())
		}
	}
	if len(all) == 0 {
		return "no machines of the plant can make it"
	}
	return strings.Join(all, "; ")
}

// tries is how many beginnings are looked at before a job goes behind all others.
const tries = 60

// lay finds when each operation of a plan is to run: the earliest beginning at which
// none of its machines is at work on something else. Plans that can not be laid,
// such as on a machine without shifts, have no times.
func (d *Desk) lay(ctx context.Context, ticket int64, w schedule.Work) (map[int]emit.Span, error) {
	var devices []string
	for _, o := range w.Plan.Operations {
		if o.Device != "" && !slices.Contains(devices, o.Device) {
			devices = append(devices, o.Device)
		}
	}
	busy := map[string][]emit.Span{}
	if d.opt.Busy != nil {
		var err error
		if busy, err = d.opt.Busy(ctx, ticket, devices); err != nil {
			return nil, err
		}
	}
	now := d.opt.Clock()
	beginnings := []time.Time{now}
	for _, id := range devices {
		for _, s := range busy[id] {
			if s.End.After(now) {
				beginnings = append(beginnings, s.End)
			}
		}
	}
	slices.SortFunc(beginnings, time.Time.Compare)
	beginnings = slices.CompactFunc(beginnings, time.Time.Equal)
	if n := len(beginnings); n > tries {
		beginnings = append(beginnings[:tries-1:tries-1], beginnings[n-1])
	}
	for _, at := range beginnings {
		times, err := d.at(ctx, w, at)
		if err != nil || times == nil || free(w.Plan, times, busy) {
			return times, err
		}
	}
	return nil, errors.New("lay the plan: its machines are busy without an end") // the last is behind them all
}

// at lays a plan alone from a moment on.
func (d *Desk) at(ctx context.Context, w schedule.Work, at time.Time) (map[int]emit.Span, error) {
	if !w.NotBefore.Given || w.NotBefore.Value.Time().Before(at) {
		w.NotBefore = job.Fact[value.DateTime]{}
	}
	laid, _, err := schedule.Make(ctx, []schedule.Work{w}, d.opt.Plant, schedule.Options{Now: at, Trials: 200})
	if err != nil || laid == nil {
		return nil, err
	}
	times, used := map[int]emit.Span{}, map[*schedule.Operation]bool{}
	for i, o := range w.Plan.Operations {
		for _, l := range laid.Jobs[0].Operations {
			if !used[l] && l.Step == o.Step && l.Sheet == o.Sheet && l.Machine == o.Device {
				used[l], times[i] = true, emit.Span{Start: l.Start, End: l.End}
				break
			}
		}
	}
	return times, nil
}

// free reports whether no machine is busy when an operation is to run on it.
func free(pl *plan.Plan, times map[int]emit.Span, busy map[string][]emit.Span) bool {
	for i, s := range times {
		for _, b := range busy[pl.Operations[i].Device] {
			if s.Start.Before(b.End) && b.Start.Before(s.End) {
				return false
			}
		}
	}
	return true
}
