//go:build !checker

package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"quoin/convert/plan/schedule"
	"quoin/validate"
	"quoin/validate/render"
)

// timetable is the flags of the command.
type timetable struct {
	plantFile, now, picture string
	latest                  bool
	trials                  int
	seed                    uint64
}

func newSchedule(io streams) *cobra.Command {
	var flags checking
	var t timetable
	cmd := &cobra.Command{
		Use:   "schedule TICKET|FOLDER... --plant PLANT",
		Short: "Plan several jobs together on the machines and shifts of a plant",
		Long: "Schedule plans each ticket, as `quoin plan` does, and lays the operations of all of them on the machines,\n" +
			"within the shifts of the plant file. It says how far the result can be from the best.",
		Example: "  quoin schedule orders/ --plant works.yaml --picture week.svg",
		Args:    atLeastOne("ticket or folder"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := flags.check(); err != nil {
				return err
			}
			return t.run(cmd, args, &flags, io)
		},
	}
	flags.flags(cmd, plain)
	f := cmd.Flags()
	f.StringVar(&t.plantFile, "plant", "", "plant file")
	f.StringVar(&t.now, "now", "", "when work can begin, as in 2026-03-02T06:00:00+01:00; the present when left out")
	f.BoolVar(&t.latest, "latest", false, "lay everything as late as the due times let")
	f.IntVar(&t.trials, "trials", 0, "how many exchanges the search tries; the default is enough for most weeks")
	f.Uint64Var(&t.seed, "seed", 0, "seed of the search; the same seed gives the same schedule")
	f.StringVar(&t.picture, "picture", "", "file to draw the schedule to, as SVG")
	return cmd
}

func (t *timetable) run(cmd *cobra.Command, args []string, flags *checking, io streams) error {
	if t.plantFile == "" {
		return errNoPlant
	}
	now := time.Now()
	if t.now != "" {
		var err error
		if now, err = time.Parse(time.RFC3339, t.now); err != nil {
			return fmt.Errorf("--now is %q; want a time such as 2026-03-02T06:00:00+01:00", t.now)
		}
	}
	works, err := loadPlant(t.plantFile, flags.format, io.out)
	if err != nil {
		return err
	}
	files, err := expand(args, ticketNames[:4])
	if err != nil {
		return err
	}
	var jobs []schedule.Work
	for _, path := range files {
		pl, j, err := planTicket(path, works, flags, io)
		if errors.Is(err, statusError(statusFindings)) {
			continue // the others are laid all the same
		}
		if err != nil {
			return err
		}
		jobs = append(jobs, schedule.WorkOf(pl, j))
	}
	refused := len(files) - len(jobs)
	if len(jobs) == 0 {
		return statusError(statusFindings)
	}
	laid, findings, err := schedule.Make(cmd.Context(), jobs, works,
		schedule.Options{Now: now, Latest: t.latest, Trials: t.trials, Seed: t.seed})
	if err != nil {
		return err
	}
	report := validate.NewReport(flags.most)
	report.Files = len(files)
	for _, f := range findings {
		report.Add(f)
	}
	report.Finish()
	err = t.show(laid, report, flags, io)
	if refused > 0 {
		fmt.Fprintf(io.err, "quoin: %d of %d tickets could not be planned; the findings above say why\n", refused, len(files))
		if err == nil {
			err = statusError(statusFindings)
		}
	}
	return err
}

func (t *timetable) show(laid *schedule.Schedule, report *validate.Report, flags *checking, io streams) error {
	if laid == nil {
		return flags.write(io.out, report)
	}
	if t.picture != "" {
		var picture bytes.Buffer
		if err := schedule.SVG(&picture, laid); err != nil {
			return err
		}
		if err := replaceFile(t.picture, picture.Bytes()); err != nil {
			return err
		}
	}
	if flags.format == "json" {
		enc := json.NewEncoder(io.out)
		enc.SetIndent("", "  ")
		if err := enc.Encode(laid); err != nil {
			return fmt.Errorf("write schedule: %w", err)
		}
	} else {
		if err := schedule.Text(io.out, laid); err != nil {
			return err
		}
		if len(report.Findings) > 0 {
			fmt.Fprintln(io.out)
			if err := render.Text(io.out, report, render.Style{Color: terminal(io.out), Width: width(io.out)}); err != nil {
				return err
			}
		}
	}
	if limit, err := validate.ParseSeverity(flags.failOn); err != nil || report.Worst() >= limit {
		return statusError(statusFindings)
	}
	return nil
}
