//go:build !checker

package main

import (
	"context"
	"iter"
	"slices"
	"time"

	"quoin/cmd/quoin/internal/ledger"
	"quoin/convert/cost/account"
	"quoin/convert/cost/colour"
	"quoin/convert/cost/render"
	"quoin/validate/plant"
)

// statement makes the statement and, for a page, what is beside it.
func (r *reporting) statement(ctx context.Context, l *ledger.Ledger, works *plant.Plant) (*render.Report, error) {
	s, found, err := l.Statement(ctx, account.By(r.by), r.filter)
	if err != nil {
		return nil, err
	}
	report := &render.Report{Statement: s, Zone: works.Zone}
	for _, f := range found {
		report.Notes = append(report.Notes, f.Message()+".")
	}
	if r.format != "html" {
		return report, nil
	}
	if s.By != account.ByJob {
		byJob, _, err := l.Statement(ctx, account.ByJob, r.filter)
		if err != nil {
			return nil, err
		}
		report.Jobs = byJob.Rows
	}
	return report, r.beside(ctx, l, works, report)
}

// beside gathers what a page shows beside the statement: it looks into the books
// themselves, which are all in memory then.
func (r *reporting) beside(ctx context.Context, l *ledger.Ledger, works *plant.Plant, report *render.Report) error {
	asked := r.asked(works)
	b, err := l.Books(ctx, asked)
	if err != nil {
		return err
	}
	var cells []account.Cell
	if b.Cells != nil {
		cells = slices.Collect(b.Cells)
	}
	entries, err := gather(l.Entries(ctx, asked))
	if err != nil {
		return err
	}
	report.Entries = slices.Collect(account.Entries(slices.Values(entries), b, r.filter))
	report.Branches, report.Left = render.Dig(report.Statement, b, cells, slices.Values(report.Entries))
	report.Runs, err = judged(ctx, l, b, asked, r.filter)
	return err
}

// asked is the filter as far as the ledger knows it. A day more at each end leaves
// shifts past midnight whole.
func (r *reporting) asked(works *plant.Plant) ledger.Filter {
	f := ledger.Filter{Jobs: r.filter.Jobs, Devices: r.filter.Devices}
	zone := works.Zone
	if zone == nil {
		zone = time.UTC
	}
	if t, err := time.ParseInLocation(time.DateOnly, r.filter.From, zone); err == nil {
		f.From = t
	}
	if t, err := time.ParseInLocation(time.DateOnly, r.filter.To, zone); err == nil {
		f.To = t.AddDate(0, 0, 2)
	}
	return f
}

// judged holds what was measured within the filter against the aims of the plant.
func judged(
	ctx context.Context, l *ledger.Ledger, b account.Books, asked ledger.Filter, f account.Filter,
) ([]*colour.Run, error) {
	if b.Plant.Colour == nil {
		return nil, nil
	}
	all, err := gather(l.Measurements(ctx, asked))
	if err != nil {
		return nil, err
	}
	customers := map[string]string{}
	for _, o := range b.Orders {
		customers[o.Job] = o.Customer
	}
	all = slices.DeleteFunc(all, func(m colour.Measurement) bool {
		return len(f.Customers) > 0 && !slices.Contains(f.Customers, customers[m.Job])
	})
	type part struct{ job, part string }
	stocks := map[part]string{}
	for _, t := range b.Tasks {
		stocks[part{t.Job, t.Part}] = t.Class.Stock
	}
	runs, _ := colour.Judge(all, b.Plant.Colour, func(job, id string) string { return stocks[part{job, id}] })
	return runs, nil
}

// gather collects a sequence up to its first error.
func gather[T any](seq iter.Seq2[T, error]) ([]T, error) {
	var all []T
	for item, err := range seq {
		if err != nil {
			return nil, err
		}
		all = append(all, item)
	}
	return all, nil
}
