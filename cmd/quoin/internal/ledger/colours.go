package ledger

import (
	"context"
	"errors"
	"iter"

	"quoin/cmd/quoin/internal/database"
	"quoin/convert/cost"
	"quoin/convert/cost/account"
	"quoin/convert/cost/colour"
	"quoin/validate/plant"
)

// Measurements reads what was measured of colour and register, by job and in the
// order of time.
func (l *Ledger) Measurements(ctx context.Context, f Filter) iter.Seq2[colour.Measurement, error] {
	return stream(ctx, l, "measurements", func(tx *database.Tx, yield func(colour.Measurement) error) error {
		c := &clause{}
		if !f.From.IsZero() {
			c.and("seen >= ?", database.Micros(f.From))
		}
		if !f.To.IsZero() {
			c.and("seen < ?", database.Micros(f.To))
		}
		c.in("job", f.Jobs)
		c.in("device", f.Devices)
		var failed error
		err := bodies(tx, func(m colour.Measurement) {
			if failed == nil {
				failed = yield(m)
			}
		}, "SELECT body FROM ledger_measurements WHERE "+c.where()+" ORDER BY job, seen, key", c.args...)
		return errors.Join(failed, err)
	})
}

// colours counts how the measurements of jobs came out.
func colours(tx *database.Tx, p *plant.Plant, tasks []cost.Task, jobs string, args ...any) ([]account.Colour, error) {
	if p.Colour == nil {
		return nil, nil
	}
	var all []colour.Measurement
	err := bodies(tx, func(m colour.Measurement) { all = append(all, m) },
		"SELECT body FROM ledger_measurements WHERE "+jobs+" ORDER BY job, seen, key", args...)
	if err != nil {
		return nil, err
	}
	type part struct{ job, part string }
	stocks := map[part]string{}
	for _, t := range tasks {
		stocks[part{t.Job, t.Part}] = t.Class.Stock
	}
	runs, _ := colour.Judge(all, p.Colour, func(job, id string) string { return stocks[part{job, id}] })
	var counts []account.Colour
	for _, s := range colour.Summarise(runs, p.Zone) {
		counts = append(counts, account.Colour{Job: s.Job, Device: s.Device, Day: s.Day, In: s.In, Near: s.Near, Out: s.Out})
	}
	return counts, nil
}

// measured keeps measurements.
func (k *keeper) measured(all []colour.Measurement) error {
	for i := range all {
		m := &all[i]
		isNew, err := k.insert("measurements", m.Key(), m, m.Job, m.Device, database.Micros(m.Time))
		if err != nil {
			return err
		}
		k.done.Measurements.add(isNew)
	}
	return nil
}
