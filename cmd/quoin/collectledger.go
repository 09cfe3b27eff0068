//go:build !checker

package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"iter"
	"os"
	"time"

	"quoin/cmd/quoin/internal/database"
	"quoin/cmd/quoin/internal/ledger"
	"quoin/convert/cost"
	"quoin/convert/plan"
	"quoin/validate"
	"quoin/validate/render"
)

// intoLedger adds what plans and files say to a ledger.
func (c *collecting) intoLedger(ctx context.Context, args []string, io streams) (err error) {
	works, err := c.maybePlant(io.out)
	if err != nil {
		return err
	}
	plans, err := readPlans(c.planFiles)
	if err != nil {
		return err
	}
	var files []string
	if len(args) > 0 {
		if files, err = expand(args, ticketNames); err != nil {
			return err
		}
	}
	db, err := database.Open(ctx, c.ledgerFile)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	books, err := ledger.Open(ctx, db, works)
	if err != nil {
		return err
	}
	report := validate.NewReport(0)
	report.Files = len(files)
	done, _, err := books.Take(ctx, plannedSaid(plans))
	if err != nil {
		return err
	}
	reader := &ledger.Files{Paths: files, Stdin: io.in, Report: report.Add}
	read, found, err := books.Import(ctx, reader.All(ctx))
	if err != nil {
		return err
	}
	read.Orders.New, read.Orders.Known = read.Orders.New+done.Orders.New, read.Orders.Known+done.Orders.Known
	read.Supplies.New, read.Supplies.Known = read.Supplies.New+done.Supplies.New, read.Supplies.Known+done.Supplies.Known
	read.Tasks.New, read.Tasks.Known = read.Tasks.New+done.Tasks.New, read.Tasks.Known+done.Tasks.Known
	if read.Purchases, err = takePurchases(ctx, books, c.purchaseFiles, report); err != nil {
		return err
	}
	for _, f := range found {
		report.Add(f)
	}
	report.Finish()
	report.Left = read.Left
	return c.showImported(io.out, read, report)
}

// plannedSaid is what plans say, each as a document of its own.
func plannedSaid(plans []planOf) iter.Seq2[*cost.Said, error] {
	return func(yield func(*cost.Said, error) bool) {
		for _, p := range plans {
			order, tasks := cost.OfPlan(p.Plan, p.file, p.made)
			supplies := cost.SuppliesOfPlan(p.Plan, p.file, p.made)
			if !yield(&cost.Said{Orders: []cost.Order{order}, Tasks: tasks, Supplies: supplies}, nil) {
				return
			}
		}
	}
}

// imported is what collect --ledger writes as JSON.
type imported struct {
	Ledger   string          `json:"ledger"`
	Imported ledger.Imported `json:"imported"`
	Findings map[string]int  `json:"findings"` // by severity
}

func (c *collecting) showImported(out io.Writer, done ledger.Imported, report *validate.Report) error {
	if c.format == "json" {
		enc := json.NewEncoder(out)
		enc.SetIndent("", "  ")
		counts := map[string]int{}
		for s := validate.Note; s <= validate.Error; s++ {
			counts[s.String()] = report.Count(s)
		}
		if err := enc.Encode(imported{c.ledgerFile, done, counts}); err != nil {
			return fmt.Errorf("write result: %w", err)
		}
	} else {
		writeImported(out, done)
		if len(report.Findings) > 0 {
			fmt.Fprintln(out)
			if err := render.Text(out, report, render.Style{Color: terminal(out)}); err != nil {
				return err
			}
		}
	}
	if report.Worst() == validate.Error {
		return statusError(statusFindings)
	}
	return nil
}

func writeImported(out io.Writer, done ledger.Imported) {
	fmt.Fprintf(out, "%d documents read\n\n%-22s %8s %8s\n", done.Documents, "", "new", "known")
	for _, row := range []struct {
		what  string
		count ledger.Count
	}{
		{"records of time", done.Records}, {"records of material", done.Uses}, {"notices", done.Notices},
		{"measurements", done.Measurements}, {"orders", done.Orders}, {"planned tasks", done.Tasks},
		{"planned materials", done.Supplies},
		{"purchases", done.Purchases},
	} {
		fmt.Fprintf(out, "%-22s %8d %8d\n", row.what, row.count.New, row.count.Known)
	}
	fmt.Fprintf(out, "\n%d devices and %d jobs settled; the ledger has %d entries\n",
		done.Devices, done.Jobs, done.Entries)
}

// planOf is a plan with where it was read from, and when it was written.
type planOf struct {
	*plan.Plan
	file string
	made time.Time
}

// readPlans reads plans that quoin plan --out wrote.
func readPlans(paths []string) ([]planOf, error) {
	var plans []planOf
	for _, path := range paths {
		file := planPath(path)
		info, err := os.Stat(file)
		if err != nil {
			return nil, fmt.Errorf("read plan: %w", err)
		}
		data, err := os.ReadFile(file)
		if err != nil {
			return nil, fmt.Errorf("read plan: %w", err)
		}
		p := planOf{Plan: &plan.Plan{}, file: file, made: info.ModTime().UTC().Truncate(time.Second)}
		if err := json.Unmarshal(data, p.Plan); err != nil {
			return nil, fmt.Errorf("read plan %q: %w; want a file that `quoin plan --out` wrote", file, err)
		}
		plans = append(plans, p)
	}
	return plans, nil
}

// expected is what plans expect of the devices, by job.
func expected(plans []planOf) map[string][]cost.Planned {
	all := map[string][]cost.Planned{}
	for _, p := range plans {
		_, tasks := cost.OfPlan(p.Plan, p.file, p.made)
		list := []cost.Planned{}
		for _, t := range tasks {
			list = append(list, t.Planned())
		}
		all[p.JobID] = list
	}
	return all
}
