package floor

import (
	"context"
	"slices"
	"time"

	"quoin/cmd/quoin/internal/queue"
	"quoin/cmd/quoin/internal/rehearsal"
	"quoin/cmd/quoin/internal/rehearsal/report"
	"quoin/jdf/message"
	"quoin/validate/plant"
)

// always is a calendar without shifts.
var always = rehearsal.CalendarOf(&plant.Plant{Zone: time.UTC}, nil)

// work takes entries off the queue, one after another, until the context ends.
func (d *device) work(ctx context.Context) {
	for ctx.Err() == nil {
		e := d.pick()
		if e == nil {
			select {
			case <-d.wake:
			case <-ctx.Done():
			}
			continue
		}
		d.play(ctx, e)
	}
}

// pick takes the entry that is to run next: one that was resumed, or the first
// of those that wait.
func (d *device) pick() *entry {
	d.lock.Lock()
	defer d.lock.Unlock()
	for _, e := range d.entries {
		if e.Standing.State == queue.Running {
			d.running = e
			return e
		}
	}
	if !d.state().Starts() {
		return nil
	}
	waiting := slices.DeleteFunc(d.list(), func(e queue.Entry) bool { return e.Standing.State != queue.Waiting })
	if len(waiting) == 0 {
		return nil
	}
	e := d.find(slices.MinFunc(waiting, queue.Compare).ID)
	standing, code := e.Standing.After(queue.Start)
	if code != message.Success {
		return nil
	}
	e.Standing, e.Start, d.running = standing, next(d.floor.Clock.Now()), e
	return e
}

// play runs the steps of an entry until they are done, or a command or the
// context stops it.
func (d *device) play(ctx context.Context, e *entry) {
	defer func() {
		d.lock.Lock()
		defer d.lock.Unlock()
		d.running = nil
	}()
	for {
		a, err := d.begin(e)
		if err != nil {
			d.fail(e, err)
			return
		}
		if a == nil {
			break
		}
		d.floor.Log.Info("begins", "device", d.channel.Device, "job", a.Job, "part", a.Part, "until", a.End())
		if !d.perform(ctx, e) {
			return
		}
	}
	d.lock.Lock()
	defer d.lock.Unlock()
	if standing, code := e.Standing.After(queue.Finish); code == message.Success {
		e.Standing = standing
	}
	d.close(e)
}

// fail gives an entry up. Without shifts there is always room, so that this is
// a mistake of the rehearsal, which must not stand still for it.
func (d *device) fail(e *entry, err error) {
	d.lock.Lock()
	defer d.lock.Unlock()
	d.floor.Log.Error("step can not be placed", "device", d.channel.Device, "job", e.JobID, "error", err)
	if standing, code := e.Standing.After(queue.Fail); code == message.Success {
		e.Standing = standing
	}
	d.close(e)
}

// begin places the next act of an entry, or what is left of one that was
// suspended; nil when all are done.
func (d *device) begin(e *entry) (*rehearsal.Act, error) {
	d.lock.Lock()
	defer d.lock.Unlock()
	at := next(d.floor.Clock.Now())
	if d.free.After(at) {
		at = d.free
	}
	if e.rest != nil {
		a := e.acts[len(e.acts)-1]
		rest := e.rest
		a.Ended, e.rest = "", nil
		return a, a.Resume(rest, at, always)
	}
	if len(e.acts) == len(e.works) {
		return nil, nil
	}
	w := e.works[len(e.acts)]
	a := rehearsal.Play(w, w.In, d.floor.Seed, rehearsal.HabitsOf(d.floor.Plant))
	a.QueueID = e.ID
	if err := a.Place(at, always); err != nil {
		return nil, err
	}
	e.acts, e.told = append(e.acts, a), 0
	return a, nil
}

// perform tells of an act as it goes on. It reports false when the entry is over
// or interrupted.
func (d *device) perform(ctx context.Context, e *entry) bool {
	for {
		at, more := d.moment(e)
		if !more {
			return true
		}
		if d.floor.Clock.Wait(ctx, at, d.poke) {
			d.tell(e, at)
			continue
		}
		if ctx.Err() != nil {
			return false
		}
		if d.interrupt(e) {
			return false
		}
	}
}

// moment is when the next signal of the act is due.
func (d *device) moment(e *entry) (time.Time, bool) {
	d.lock.Lock()
	defer d.lock.Unlock()
	a := e.acts[len(e.acts)-1]
	d.free = a.End()
	all := report.Signals(a, d.channelFor(report.Second), "")
	if e.told >= len(all) {
		return time.Time{}, false
	}
	return all[e.told].At, true
}

// channelFor is how the machine speaks to those of a generation. All it knows is
// put into signals here: subscribers choose the types that they want.
func (d *device) channelFor(g report.Generation) report.Channel {
	return report.Channel{
		Device: d.channel.Device, Speaks: g, Signals: true, Running: d.channel.Running && g == report.First,
	}
}

// interrupt looks whether a command stopped the entry that runs, and ends or
// suspends its act. It reports whether it did.
func (d *device) interrupt(e *entry) bool {
	d.lock.Lock()
	defer d.lock.Unlock()
	if e.Standing.State == queue.Running {
		return false
	}
	a := e.acts[len(e.acts)-1]
	at := next(d.floor.Clock.Now())
	if first := a.Start().Add(time.Second); at.Before(first) {
		at = first
	}
	if n := len(a.Phases); at.After(a.End()) {
		at = a.Phases[n-1].End
	}
	rest := a.Cut(at)
	switch {
	case e.Standing.State == queue.Suspended:
		a.Ended = "Suspended"
		if e.rest = rest; len(rest) == 0 {
			e.rest, a.Ended = nil, "" // it was just over
		}
	case e.Standing.End == queue.Aborted:
		a.Ended = "Aborted"
	}
	d.free = a.End()
	d.tellLocked(e, a.End())
	if e.Standing.State != queue.Suspended {
		d.close(e)
	}
	return true
}

// tell sends all signals that are due.
func (d *device) tell(e *entry, until time.Time) {
	d.lock.Lock()
	defer d.lock.Unlock()
	d.tellLocked(e, until)
}

// tellLocked sends the signals up to a moment to all who want them: those who
// subscribed, or the address that the machines were given where nobody did.
func (d *device) tellLocked(e *entry, until time.Time) {
	a := e.acts[len(e.acts)-1]
	told := e.told
	wide := []channel{}
	for _, kind := range []string{"Status", "Resource"} {
		named := slices.IndexFunc(d.channels, func(c channel) bool { return c.Type == kind }) >= 0
		if !named {
			c := channel{speaks: d.channel.Speaks}
			c.Type, c.Subscription.URL = kind, d.floor.To.String()
			wide = append(wide, c)
		}
	}
	for _, c := range slices.Concat(d.channels, wide) {
		how := d.channelFor(c.speaks)
		all := report.Signals(a, how, c.ID)
		var due []report.Signal
		n := told
		for ; n < len(all) && !all[n].At.After(until); n++ {
			if all[n].Type == c.Type {
				due = append(due, all[n])
			}
		}
		e.told = max(e.told, n)
		if len(due) > 0 {
			d.post(how, c.Subscription.URL, a.Job, due)
		}
	}
}

// close sees an entry off: its ticket goes back where that is wanted. The lock
// is held.
func (d *device) close(e *entry) {
	e.End = d.floor.Clock.Now().Truncate(time.Second)
	if e.Standing.State == queue.PendingReturn {
		d.giveBack(e)
	}
	d.floor.Log.Info("ends", "device", d.channel.Device, "job", e.JobID, "part", e.PartID,
		"state", e.Standing.State.String())
}
