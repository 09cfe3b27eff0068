//go:build !checker

package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"quoin/cmd/quoin/internal/ledger"
	"quoin/convert/cost"
	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/plant"
	"quoin/validate/render"
)

// collecting is the flags of collect.
type collecting struct {
	plantFile, ledgerFile, format string
	planFiles, purchaseFiles      []string
}

func newCollect(io streams) *cobra.Command {
	var c collecting
	cmd := &cobra.Command{
		Use:   "collect FILE|FOLDER... --plant PLANT [--plan FOLDER...] [--ledger FILE]",
		Short: "Turn audit pools and machine messages into time, good and waste, and cost, beside the plan",
		Long: "Collect reads the audit pools of JDF and XJDF tickets and the signals of JMF and XJMF messages, also out\n" +
			"of packages, in any order and however often, and counts each thing once.\n\n" +
			"With --ledger it adds them to a ledger file, which it makes when it is missing, and tells what was new and\n" +
			"what was known. A ledger keeps everything, so that the same files again change nothing. Plans go into it\n" +
			"with --plan. The plant file gives the shifts, and the zone of times that say none.\n\n" + purchasesHelp,
		Example: "  quoin collect --plant works.yaml returned/\n" +
			"  quoin collect --plant works.yaml --plan jobs/4711 returned/4711.xjdf signals/\n" +
			"  quoin collect --plant works.yaml --ledger works.ledger returned/ signals/",
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := c.check(cmd, args); err != nil {
				return err
			}
			if c.ledgerFile != "" {
				return c.intoLedger(cmd.Context(), args, io)
			}
			return c.costs(cmd.Context(), args, io)
		},
	}
	cmd.Flags().StringVar(&c.plantFile, "plant", "", "plant file, with the rates of its cost centres")
	cmd.Flags().StringSliceVar(&c.planFiles, "plan", nil, "folders that quoin plan --out wrote, to compare with")
	cmd.Flags().StringSliceVar(&c.purchaseFiles, "purchases", nil, "lists of what was bought from outside, for the ledger")
	cmd.Flags().StringVar(&c.ledgerFile, "ledger", "", "file of the ledger to add to, or a postgres:// address")
	cmd.Flags().StringVar(&c.format, "format", "text", "how the result is written: text or json")
	return cmd
}

func (c *collecting) check(cmd *cobra.Command, args []string) error {
	if c.format != "text" && c.format != "json" {
		return fmt.Errorf("--format is %q; want text or json", c.format)
	}
	if c.ledgerFile == "" && c.plantFile == "" {
		return errNoPlant
	}
	if c.ledgerFile == "" && len(c.purchaseFiles) > 0 {
		return errors.New("--purchases goes into a ledger; name its file with --ledger")
	}
	if c.ledgerFile != "" && len(c.planFiles)+len(c.purchaseFiles) > 0 {
		return nil // plans or purchases alone are something to keep
	}
	return atLeastOne("ticket, message or folder")(cmd, args)
}

// costs prices what the files report, and keeps nothing.
func (c *collecting) costs(ctx context.Context, args []string, io streams) error {
	works, err := loadPlant(c.plantFile, c.format, io.out)
	if err != nil {
		return err
	}
	plans, err := readPlans(c.planFiles)
	if err != nil {
		return err
	}
	report := validate.NewReport(0)
	docs, err := readAll(ctx, args, io, report)
	if err != nil {
		return err
	}
	found, findings := cost.Reading{Zone: works.Zone}.Collect(docs)
	costs, more := cost.Report(found, works, expected(plans))
	for _, f := range append(findings, more...) {
		report.Add(f)
	}
	report.Finish()
	return showCosts(io.out, costs, report, c.format)
}

// readAll reads documents. Those that are not whole are reported and left out.
func readAll(ctx context.Context, args []string, io streams, report *validate.Report) ([]*jdf.Document, error) {
	files, err := expand(args, ticketNames)
	if err != nil {
		return nil, err
	}
	report.Files = len(files)
	var docs []*jdf.Document
	reader := &ledger.Files{Paths: files, Stdin: io.in, Report: report.Add}
	for doc, err := range reader.All(ctx) {
		if err != nil {
			return nil, err
		}
		docs = append(docs, doc.Document)
	}
	return docs, nil
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

// maybePlant is the plant file of the flag, nil without one.
func (c *collecting) maybePlant(out io.Writer) (*plant.Plant, error) {
	if c.plantFile == "" {
		return nil, nil
	}
	return loadPlant(c.plantFile, c.format, out)
}
