package main

import (
	"encoding/json"
	"fmt"
	"io"
	"os"

	"github.com/shopspring/decimal"
	"github.com/spf13/cobra"

	"quoin/convert/cost"
	"quoin/convert/plan"
	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/render"
)

func newCollect(io streams) *cobra.Command {
	var plantFile, format string
	var planFiles []string
	cmd := &cobra.Command{
		Use:   "collect FILE|FOLDER... --plant PLANT [--plan FOLDER...]",
		Short: "Turn audit pools and machine messages into time, good and waste, and cost, beside the plan",
		Long: "Collect reads the audit pools of JDF and XJDF tickets and the signals of JMF and XJMF messages, in any\n" +
			"order and however often, and counts each thing once.",
		Example: "  quoin collect --plant works.yaml returned/\n" +
			"  quoin collect --plant works.yaml --plan jobs/4711 returned/4711.xjdf signals/",
		Args: atLeastOne("ticket, message or folder"),
		RunE: func(_ *cobra.Command, args []string) error {
			if format != "text" && format != "json" {
				return fmt.Errorf("--format is %q; want text or json", format)
			}
			if plantFile == "" {
				return errNoPlant
			}
			works, err := loadPlant(plantFile, format, io.out)
			if err != nil {
				return err
			}
			plans, err := readPlans(planFiles)
			if err != nil {
				return err
			}
			files, err := expand(args, ticketNames)
			if err != nil {
				return err
			}
			docs, report, err := readAll(files, io)
			if err != nil {
				return err
			}
			ledger, findings := cost.Collect(docs)
			costs, more := cost.Report(ledger, works, plans)
			for _, f := range append(findings, more...) {
				report.Add(f)
			}
			report.Finish()
			return showCosts(io.out, costs, report, format)
		},
	}
	cmd.Flags().StringVar(&plantFile, "plant", "", "plant file, with the rates of its cost centres")
	cmd.Flags().StringSliceVar(&planFiles, "plan", nil, "folders that quoin plan --out wrote, to compare with")
	cmd.Flags().StringVar(&format, "format", "text", "how the costs are written: text or json")
	return cmd
}

// readAll reads documents. Those that are not whole are reported and left out:
// half a message would be half a count.
func readAll(files []string, io streams) ([]*jdf.Document, *validate.Report, error) {
	report := validate.NewReport(0)
	report.Files = len(files)
	var docs []*jdf.Document
	for _, path := range files {
		read := func() (*jdf.Document, []jdf.Fault, error) { return jdf.ReadFile(path, jdf.Limits{}) }
		if path == "-" {
			read = func() (*jdf.Document, []jdf.Fault, error) { return jdf.Read("<stdin>", io.in, jdf.Limits{}) }
		}
		doc, faults, err := read()
		if err != nil {
			return nil, nil, err
		}
		for _, f := range faults {
			report.Add(validate.OfFault(f))
		}
		if len(faults) == 0 {
			docs = append(docs, doc)
		}
	}
	return docs, report, nil
}

func showCosts(out io.Writer, costs *cost.Costs, report *validate.Report, format string) error {
	if format == "json" {
		enc := json.NewEncoder(out)
		enc.SetIndent("", "  ")
		if err := enc.Encode(costs); err != nil {
			return fmt.Errorf("write costs: %w", err)
		}
	} else {
		if err := cost.Text(out, costs); err != nil {
			return err
		}
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

// readPlans reads plans and turns each into what it expects of the devices.
func readPlans(paths []string) (map[string][]cost.Planned, error) {
	plans := map[string][]cost.Planned{}
	for _, path := range paths {
		data, err := os.ReadFile(planPath(path))
		if err != nil {
			return nil, fmt.Errorf("read plan: %w", err)
		}
		var pl plan.Plan
		if err := json.Unmarshal(data, &pl); err != nil {
			return nil, fmt.Errorf("read plan %q: %w; want a file that `quoin plan --out` wrote", planPath(path), err)
		}
		plans[pl.JobID] = planned(&pl)
	}
	return plans, nil
}

func planned(pl *plan.Plan) []cost.Planned {
	var all []cost.Planned
	for _, op := range pl.Operations {
		if op.Device == "" {
			continue // plate output has no machine in the plant file
		}
		all = append(all, cost.Planned{
			Device:    op.Device,
			Makeready: cost.Span(op.Makeready.Duration + op.WashUp.Duration),
			Run:       cost.Span(op.Run.Duration),
			Good:      decimal.NewFromInt(int64(op.Out)),
			Waste:     decimal.NewFromInt(int64(op.SetupWaste + op.RunningWaste)),
			Cost:      op.Cost,
		})
	}
	return all
}
