//go:build !checker

package main

import (
	"errors"

	"github.com/spf13/cobra"

	"quoin/validate"
	"quoin/validate/plant"
)

// errNoPlant says that a command cannot do without a plant file.
var errNoPlant = errors.New("no plant is named; name its file with --plant")

func newPlant(io streams) *cobra.Command {
	group := &cobra.Command{Use: "plant", Short: "Work with plant files"}
	var flags checking
	check := &cobra.Command{
		Use:   "check FILE",
		Short: "Say what is wrong with a plant file, at line and column",
		Args:  justOne("plant file"),
		RunE: func(_ *cobra.Command, args []string) error {
			if err := flags.check(); err != nil {
				return err
			}
			works, findings, err := plant.LoadFile(args[0])
			if err != nil {
				return err
			}
			if len(findings) == 0 {
				findings = plant.Review(works)
			}
			report := validate.NewReport(flags.most)
			report.Files = 1
			for _, f := range findings {
				report.Add(f)
			}
			report.Finish()
			return flags.write(io.out, report)
		},
	}
	flags.formats = plain
	check.Flags().StringVar(&flags.format, "format", "text", "how findings are written: text or json")
	check.Flags().StringVar(&flags.failOn, "fail-on", "error", "exit with 1 from this severity on: note, warning or error")
	show := &cobra.Command{
		Use:   "show FILE",
		Short: "Print a plant file for people",
		Args:  justOne("plant file"),
		RunE: func(_ *cobra.Command, args []string) error {
			works, err := loadPlant(args[0], "text", io.out)
			if err != nil {
				return err
			}
			return plant.Show(io.out, works)
		},
	}
	group.AddCommand(check, show)
	return group
}
