package alerts

import (
	"context"
	"fmt"
	"strconv"
	"time"

	"github.com/shopspring/decimal"

	"quoin/cmd/quoin/internal/works"
	"quoin/validate/plant"
)

// Sources are where a Watch looks beside the store. Each may be nil.
type Sources struct {
	// Colour gives how the runs of the last hours stand.
	Colour func(ctx context.Context) ([]Colour, error)
	// Disk gives the free and the whole size of the disk of the store, in bytes.
	Disk func() (free, whole uint64, err error)
}

// Colour is how one run of a job on a device stands.
type Colour struct {
	Job, Device string
	Out, Drifts bool
	Text        string // which series, by how much
}

// refusedFor is how long a refused ticket is told.
const refusedFor = 24 * time.Hour

// look lists what is near or over a limit.
type look struct {
	limits *plant.Alerts
	now    time.Time
	zone   *time.Location
	found  []Condition
}

func (l *look) add(c Condition) {
	if c.Level > Past {
		l.found = append(l.found, c)
	}
}

// timed is the level of something that has lasted for a time.
func timed(lasted, limit time.Duration) Level {
	if limit > 0 && lasted > limit {
		return Over
	}
	return Past
}

// store looks at what the store holds.
func (l *look) store(tx *works.Tx) error {
	devices, err := tx.Devices()
	if err != nil {
		return err
	}
	for _, d := range devices {
		if err := l.device(tx, d); err != nil {
			return err
		}
	}
	open, err := tx.Tickets(works.TicketFilter{States: []works.State{
		works.Accepted, works.Planned, works.Released, works.Running,
	}})
	if err != nil {
		return err
	}
	for _, k := range open {
		if err := l.ticket(tx, k); err != nil {
			return err
		}
	}
	if err := l.refused(tx); err != nil {
		return err
	}
	return l.deliveries(tx)
}

func (l *look) device(tx *works.Tx, d *works.Device) error {
	if since := l.now.Sub(d.Since); d.State == "stopped" && !d.Since.IsZero() {
		text := fmt.Sprintf("%s has stood for %s", name(d), minutes(since))
		if d.Details != "" {
			text += ", " + d.Details
		}
		if d.Job != "" {
			text += ", with job " + d.Job
		}
		l.add(Condition{
			Kind: plant.AlertStop, Key: d.ID, Level: timed(since, l.limits.Stop), Severity: "warning", Text: text, Device: d.ID,
		})
	}
	if l.limits.Silent == 0 {
		return nil
	}
	steps, err := tx.DeviceSteps(d.ID)
	if err != nil {
		return err
	}
	for _, s := range steps {
		if s.State != works.StepMakeready && s.State != works.StepRunning && s.State != works.StepStopped {
			continue
		}
		heard := d.Heard
		if s.Changed.After(heard) {
			heard = s.Changed
		}
		l.add(Condition{
			Kind: plant.AlertSilent, Key: d.ID, Level: timed(l.now.Sub(heard), l.limits.Silent), Severity: "warning",
			Text:   fmt.Sprintf("%s is at work on %s and has said nothing for %s", name(d), s.Name, minutes(l.now.Sub(heard))),
			Device: d.ID,
		})
		return nil
	}
	return nil
}

func name(d *works.Device) string {
	if d.Name == "" {
		return d.ID
	}
	return d.ID + " (" + d.Name + ")"
}

// ticket holds a job against its plan and against what was promised.
func (l *look) ticket(tx *works.Tx, k *works.Ticket) error {
	key := strconv.FormatInt(k.ID, 10)
	about := "job " + k.Job
	steps, err := tx.Steps(k.ID)
	if err != nil {
		return err
	}
	worst, text := time.Duration(0), ""
	behind := func(by time.Duration, say string) {
		if by > worst {
			worst, text = by, fmt.Sprintf("%s is %s behind: %s", about, minutes(by), say)
		}
	}
	ends := k.End
	for _, s := range steps {
		switch {
		case s.End.IsZero(), !s.Ended.IsZero(), s.State == works.StepDone, s.State == works.StepCancelled:
			continue
		}
		behind(l.now.Sub(s.End), fmt.Sprintf("%s on %s was planned to end at %s", s.Name, s.Device, l.clock(s.End)))
		if late := l.now.Sub(s.End); late > 0 && !k.End.IsZero() && k.End.Add(late).After(ends) {
			ends = k.End.Add(late) // what follows moves with it
		}
		l.waste(s, key, about, k.ID)
	}
	if !k.Due.IsZero() {
		behind(l.now.Sub(k.Due), "it was promised for "+l.clock(k.Due))
		if !ends.IsZero() {
			behind(ends.Sub(k.Due), fmt.Sprintf("it will be ready at %s, and is promised for %s", l.clock(ends), l.clock(k.Due)))
		}
	}
	l.add(Condition{
		Kind: plant.AlertLate, Key: key, Level: timed(worst, l.limits.Late), Severity: "warning", Text: text, Ticket: k.ID,
	})
	return nil
}

// waste holds what a step has wasted against what its plan allows. While it runs,
// the allowance is the whole of it.
func (l *look) waste(s *works.Step, ticket, about string, id int64) {
	if !l.limits.Waste.IsPositive() || !s.Target.IsPositive() {
		return
	}
	over := s.Spoilt.Sub(s.Waste)
	limit := s.Target.Mul(l.limits.Waste).Shift(-2)
	level := Past
	switch {
	case over.GreaterThan(limit):
		level = Over
	case over.GreaterThan(limit.Mul(l.limits.Back).Shift(-2)):
		level = Near
	}
	share := over.Mul(decimal.NewFromInt(100)).DivRound(s.Target, 1)
	l.add(Condition{
		Kind: plant.AlertWaste, Key: ticket + "/" + strconv.Itoa(s.Number), Level: level, Severity: "warning",
		Text: fmt.Sprintf("%s, %s on %s: %s %s wasted, %s allowed; %s %% of the %s wanted are over the plan",
			about, s.Name, s.Device, s.Spoilt, s.Unit, s.Waste, share, s.Target),
		Ticket: id, Device: s.Device,
	})
}

func (l *look) refused(tx *works.Tx) error {
	if !l.limits.Refused {
		return nil
	}
	refused, err := tx.Tickets(works.TicketFilter{
		States: []works.State{works.Refused}, Since: l.now.Add(-refusedFor), Order: works.ByChange,
	})
	for _, k := range refused {
		l.add(Condition{
			Kind: plant.AlertRefused, Key: strconv.FormatInt(k.ID, 10), Level: Over, Severity: "note",
			Text: fmt.Sprintf("job %s from %s was refused: %s", k.Job, k.Partner, k.Reason), Ticket: k.ID,
		})
	}
	return err
}

func (l *look) deliveries(tx *works.Tx) error {
	if l.limits.Delivery == 0 {
		return nil
	}
	failing, err := tx.Deliveries(works.DeliveryFilter{
		States: []works.DeliveryState{works.DeliveryWaiting, works.DeliveryDead}, Limit: 1000,
	})
	for _, d := range failing {
		level, severity, end := Past, "warning", ""
		switch {
		case d.State == works.DeliveryDead:
			level, severity, end = Over, "error", "; it was given up, retry or discard it"
		case d.Attempts >= l.limits.Delivery && d.Error != "":
			level = Over
		}
		to := d.Device
		if to == "" {
			to = d.Partner
		}
		l.add(Condition{
			Kind: plant.AlertDelivery, Key: to + " " + works.Bare(d.Address), Level: level, Severity: severity,
			Text:   fmt.Sprintf("%s to %s failed %d times: %s%s", d.Kind, to, d.Attempts, d.Error, end),
			Ticket: d.Ticket, Device: d.Device,
		})
	}
	return err
}

func (l *look) colour(ctx context.Context, s Sources) error {
	if l.limits.Colour == plant.ColourNever || s.Colour == nil {
		return nil
	}
	runs, err := s.Colour(ctx)
	for _, r := range runs {
		if r.Out || r.Drifts && l.limits.Colour == plant.ColourDrift {
			l.add(Condition{
				Kind: plant.AlertColour, Key: r.Device + " " + r.Job, Level: Over, Severity: "warning",
				Text: fmt.Sprintf("job %s on %s: %s", r.Job, r.Device, r.Text), Device: r.Device,
			})
		}
	}
	return err
}

func (l *look) disk(s Sources) error {
	if !l.limits.FreeDisk.IsPositive() || s.Disk == nil {
		return nil
	}
	free, whole, err := s.Disk()
	if err != nil || whole == 0 {
		return err
	}
	share := decimal.NewFromInt(100).Mul(decimal.NewFromUint64(free)).DivRound(decimal.NewFromUint64(whole), 2)
	level := Past
	switch {
	case share.LessThan(l.limits.FreeDisk):
		level = Over
	case share.Mul(l.limits.Back).Shift(-2).LessThan(l.limits.FreeDisk):
		level = Near
	}
	l.add(Condition{
		Kind: plant.AlertDisk, Key: "store", Level: level, Severity: "error",
		Text: fmt.Sprintf("%s %% of the disk of the store are free, want %s %%; make room, or shorten what is kept",
			share, l.limits.FreeDisk),
	})
	return nil
}

func (l *look) clock(t time.Time) string { return clock(t, l.zone) }

// clock writes a time by the clock on the wall.
func clock(t time.Time, zone *time.Location) string {
	if zone != nil {
		t = t.In(zone)
	}
	return t.Format("2006-01-02 15:04 MST")
}

func minutes(d time.Duration) string {
	d = d.Truncate(time.Minute)
	if d < time.Hour {
		return fmt.Sprintf("%d min", int(d.Minutes()))
	}
	return fmt.Sprintf("%d h %02d min", int(d.Hours()), int(d.Minutes())%60)
}
