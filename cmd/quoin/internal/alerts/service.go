package alerts

import (
	"context"
	"fmt"
	"strconv"
	"strings"
	"time"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/database"
	"quoin/cmd/quoin/internal/ledger"
	"quoin/cmd/quoin/internal/service"
	"quoin/cmd/quoin/internal/works"
	"quoin/convert/cost/colour"
)

const (
	lookPause    = 30 * time.Second // between two looks
	leaseLooks   = 3                // an instance that has not looked for so many pauses has lost the lease
	noticeWait   = 30 * time.Second // that a receiver of a notice may take
	colourWindow = 24 * time.Hour   // of the measurements that are looked at

	// valueLease names in the store which instance looks, and until when.
	valueLease = "alerts/lease"
)

// Addition lets a service look for what is wrong as the plant file wants it told, on
// one of its instances at a time, and send the notices. Passwords of mail servers that
// are given as file:PATH are looked for beside a folder.
func Addition(folder string) service.Addition {
	return service.Addition{
		Name: "alerts",
		Handlers: func(p *service.Parts) map[string]works.Handler {
			return map[string]works.Handler{ChoreNotice: func(ctx context.Context, c *works.Chore) error {
				if p.Plant.Alerts == nil {
					return works.Permanent(fmt.Errorf("the plant %q has no alerts any more", p.Plant.Name))
				}
				s := &Sender{ // the allow-list may have changed since the last
					Limits: p.Plant.Alerts, Plant: p.Plant.Name, Client: access.Client(p.Hosts(), noticeWait), Clock: p.Clock,
					Secret: func(place string) (string, error) { return access.Secret(place, folder) },
				}
				return s.Handle(ctx, c)
			}}
		},
		Run: func(ctx context.Context, p *service.Parts) error {
			if p.Plant.Alerts == nil {
				return nil
			}
			keepLooking(ctx, p, lookPause)
			return nil
		},
	}
}

// keepLooking looks until the context ends. What goes wrong with a look is told to the
// log, and tried again with the next.
func keepLooking(ctx context.Context, p *service.Parts, pause time.Duration) {
	w := &Watch{Store: p.Store, Limits: p.Plant.Alerts, Zone: p.Plant.Zone, Public: p.Public, Sources: sources(p)}
	ticker := time.NewTicker(pause)
	defer ticker.Stop()
	for {
		mine, err := lease(ctx, p.Store, leaseLooks*pause)
		if err == nil && mine {
			err = w.Look(ctx)
		}
		if err != nil && ctx.Err() == nil {
			p.Log.Warn("look for what is wrong", "error", err)
		}
		select {
		case <-ctx.Done():
			return
		case <-ticker.C:
		}
	}
}

// lease takes or extends the right to look. It is this instance's when nobody else has
// it, or when who had it has let it run out.
func lease(ctx context.Context, store *works.Store, long time.Duration) (mine bool, err error) {
	err = store.Write(ctx, who, func(tx *works.Tx) error {
		held, err := tx.Value(valueLease)
		if err != nil {
			return err
		}
		until, owner, _ := strings.Cut(held, " ")
		at, err := strconv.ParseInt(until, 10, 64)
		if mine = err != nil || owner == store.Instance() || !tx.Now().Before(time.UnixMicro(at)); !mine {
			return nil
		}
		return tx.SetValue(valueLease, fmt.Sprintf("%d %s", tx.Now().Add(long).UnixMicro(), store.Instance()))
	})
	return mine && err == nil, err
}

// sources are the measurements in the ledger and the disk of the store. A store on a
// server has no disk of ours.
func sources(p *service.Parts) (s Sources) {
	if p.Ledger != nil && p.Plant.Colour != nil {
		s.Colour = func(ctx context.Context) ([]Colour, error) { return colours(ctx, p) }
	}
	if db := p.Store.DB(); db.Dialect() == database.SQLite {
		s.Disk = func() (free, whole uint64, err error) { return disk(db.Name()) }
	}
	return s
}

// colours judges what was measured within the last day.
func colours(ctx context.Context, p *service.Parts) ([]Colour, error) {
	now := p.Clock()
	var all []colour.Measurement
	for m, err := range p.Ledger.Measurements(ctx, ledger.Filter{From: now.Add(-colourWindow), To: now}) {
		if err != nil {
			return nil, fmt.Errorf("read what was measured of colour: %w", err)
		}
		all = append(all, m)
	}
	stocks, err := stocks(ctx, p, all)
	if err != nil {
		return nil, err
	}
	runs, _ := colour.Judge(all, p.Plant.Colour, func(job, part string) string { return stocks[[2]string{job, part}] })
	var list []Colour
	for _, r := range runs {
		if c := (Colour{Job: r.Job, Device: r.Device, Out: r.Verdict == colour.Out, Drifts: r.Drifting}); c.Out || c.Drifts {
			c.Text = worst(r)
			list = append(list, c)
		}
	}
	return list, nil
}

// stocks tells the stock of each part of the jobs that were measured, since the aims
// depend on it.
func stocks(ctx context.Context, p *service.Parts, all []colour.Measurement) (map[[2]string]string, error) {
	stocks := map[[2]string]string{}
	seen := map[string]bool{}
	var jobs []string
	for _, m := range all {
		if !seen[m.Job] {
			seen[m.Job] = true
			jobs = append(jobs, m.Job)
		}
	}
	if len(jobs) == 0 {
		return stocks, nil
	}
	books, err := p.Ledger.Books(ctx, ledger.Filter{Jobs: jobs})
	if err != nil {
		return nil, fmt.Errorf("read the stock of what was measured: %w", err)
	}
	for _, t := range books.Tasks {
		stocks[[2]string{t.Job, t.Part}] = t.Class.Stock
	}
	return stocks, nil
}

// worst names the series of a run that is furthest out, else the first that drifts.
func worst(r *colour.Run) string {
	var at *colour.Series
	beyond := func(s *colour.Series) float64 {
		if s.Tolerance == 0 {
			return 0
		}
		return max(s.Worst, -s.Worst) / s.Tolerance
	}
	for _, s := range r.Series {
		fits := s.Verdict == colour.Out || r.Verdict != colour.Out && s.Drift != nil
		if fits && (at == nil || beyond(s) > beyond(at)) {
			at = s
		}
	}
	if at == nil {
		return ""
	}
	text := strings.TrimSpace(at.Colorant + " " + string(at.Kind))
	if at.Zone > 0 {
		text += fmt.Sprintf(" in zone %d", at.Zone)
	}
	return fmt.Sprintf("%s is off by %.1f, where %.1f is allowed", text, max(at.Worst, -at.Worst), at.Tolerance)
}
