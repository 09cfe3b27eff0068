//go:build !checker

package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"quoin/convert/emit"
	"quoin/convert/plan"
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate"
	"quoin/validate/plant"
	"quoin/validate/rules"
)

// planFile is the name of the plan among the device tickets.
const planFile = "plan.json"

func newPlan(io streams) *cobra.Command {
	var flags checking
	var plantFile, out, as string
	cmd := &cobra.Command{
		Use:   "plan TICKET --plant PLANT [--out FOLDER]",
		Short: "Plan a job on a plant: sheets, times, waste and cost; with --out, write the tickets of its machines",
		Long: "Plan checks the ticket first, as `quoin validate --plant` does, and plans it only when there are no\n" +
			"errors. With --out it writes one XJDF a machine, a summary for its operator,\n" +
			"a picture of each sheet, and " + planFile + " for `quoin collect --plan`.",
		Example: "  quoin plan order.xjdf --plant works.yaml\n  quoin plan order.jdf --plant works.yaml --out jobs/4711",
		Args:    justOne("ticket"),
		RunE: func(_ *cobra.Command, args []string) error {
			if err := flags.check(); err != nil {
				return err
			}
			if plantFile == "" {
				return errNoPlant
			}
			form, err := emit.ParseForm(as)
			if err != nil {
				return fmt.Errorf("--as: %w", err)
			}
			works, err := loadPlant(plantFile, flags.format, io.out)
			if err != nil {
				return err
			}
			pl, j, err := planTicket(args[0], works, &flags, io)
			if err != nil {
				return err
			}
			if out != "" {
				if err := writePlan(out, pl, j, form, time.Now); err != nil {
					return err
				}
			}
			return showPlan(io.out, pl, flags.format)
		},
	}
	flags.flags(cmd, plain)
	cmd.Flags().StringVar(&plantFile, "plant", "", "plant file")
	cmd.Flags().StringVar(&out, "out", "", "folder to write the machines' tickets and the plan to")
	cmd.Flags().StringVar(&as, "as", "xjdf", "write the tickets as xjdf, one a machine, or as jdf, one tree for all")
	return cmd
}

// planTicket checks a ticket and plans it. What keeps it from being planned is
// written as findings, and the error carries the status.
func planTicket(path string, works *plant.Plant, flags *checking, io streams) (*plan.Plan, *job.Job, error) {
	doc, err := readTicket(path, io)
	if err != nil {
		return nil, nil, err
	}
	engine := &validate.Engine{
		Stages: []validate.Stage{schemaStage(nil), rules.Stage(), plantStage(works)},
		Most:   flags.most, Filter: validate.Filter{Only: flags.only, Ignore: flags.ignore},
	}
	report, err := engine.Document(doc)
	if err != nil {
		return nil, nil, err
	}
	if report.Worst() == validate.Error {
		return nil, nil, flags.write(io.out, report)
	}
	if doc.Kind.Message() || doc.Kind == jdf.KindUnknown {
		return nil, nil, fmt.Errorf("%q is no ticket; a plan starts from a JDF or XJDF", path)
	}
	j := job.Decode(doc)
	pl, findings := plan.Make(j, works, plan.Options{})
	for _, f := range findings {
		report.Add(f)
	}
	report.Finish()
	if pl == nil {
		if err := flags.write(io.out, report); err != nil {
			return nil, nil, err
		}
		return nil, nil, errors.New("there is no plan")
	}
	return pl, j, nil
}

func showPlan(out io.Writer, pl *plan.Plan, format string) error {
	if format != "json" {
		return plan.Write(out, pl)
	}
	enc := json.NewEncoder(out)
	enc.SetIndent("", "  ")
	if err := enc.Encode(pl); err != nil {
		return fmt.Errorf("write plan: %w", err)
	}
	return nil
}

// writePlan writes the device tickets, all or none, then a picture of each
// sheet, and the plan last.
func writePlan(dir string, pl *plan.Plan, j *job.Job, as emit.Form, clock func() time.Time) error {
	data, err := json.MarshalIndent(pl, "", "  ")
	if err != nil {
		return fmt.Errorf("write plan: %w", err)
	}
	if err := writeTickets(dir, emit.Tickets(pl, j, emit.Options{Clock: clock, As: as})); err != nil {
		return err
	}
	for _, sheet := range pl.Sheets {
		var picture bytes.Buffer
		if err := plan.SVG(&picture, pl, sheet.Name); err != nil {
			return err
		}
		if err := replaceFile(filepath.Join(dir, "sheet-"+sheet.Name+".svg"), picture.Bytes()); err != nil {
			return err
		}
	}
	return replaceFile(filepath.Join(dir, planFile), append(data, '\n'))
}

// writeTickets writes tickets into a folder, which is made when it is not there.
func writeTickets(dir string, tickets []emit.Ticket) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("make folder for tickets: %w", err)
	}
	return emit.Write(dir, tickets)
}

// replaceFile writes a file under another name first, so that whoever reads it
// finds the old one or the new one, never half of either.
func replaceFile(path string, data []byte) error {
	temp, err := os.CreateTemp(filepath.Dir(path), ".quoin-*.tmp")
	if err != nil {
		return fmt.Errorf("write %q: %w", path, err)
	}
	_, err = temp.Write(data)
	err = errors.Join(err, temp.Chmod(0o644), temp.Sync(), temp.Close())
	if err == nil {
		err = os.Rename(temp.Name(), path)
	}
	if err != nil {
		return fmt.Errorf("write %q: %w", path, errors.Join(err, os.Remove(temp.Name())))
	}
	return nil
}

// planPath is where the plan stands in a folder that plan --out wrote.
func planPath(path string) string {
	if filepath.Ext(path) == ".json" {
		return path
	}
	return filepath.Join(path, planFile)
}
