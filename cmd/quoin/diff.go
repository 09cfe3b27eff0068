//go:build !checker

package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"quoin/convert/diff"
	"quoin/jdf/job"
)

func newDiff(io streams) *cobra.Command {
	var format string
	cmd := &cobra.Command{
		Use:   "diff BEFORE AFTER",
		Short: "Say what changed between two tickets, of the same generation or not, in the trade's words",
		Long: "Diff compares what two tickets say: amounts, stock, colours, sizes, dates, steps. It is for change\n" +
			"orders. Exit status: 0 no change, 1 changes, 2 could not run.",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 2 {
				return fmt.Errorf("%d names given; want two tickets, as in: quoin diff BEFORE AFTER", len(args))
			}
			return nil
		},
		RunE: func(_ *cobra.Command, args []string) error {
			jobs := make([]*job.Job, 2)
			for i, path := range args {
				doc, err := readTicket(path, io)
				if errors.Is(err, statusError(statusFindings)) {
					return statusError(statusFailed) // 1 would say that the tickets differ
				}
				if err != nil {
					return err
				}
				if doc.Kind.Message() {
					return fmt.Errorf("%q is a message; want a ticket", path)
				}
				jobs[i] = job.Decode(doc)
			}
			changes := diff.Jobs(jobs[0], jobs[1])
			write := diff.Text
			switch format {
			case "text":
			case "json":
				write = diff.JSON
			default:
				return fmt.Errorf("--format is %q; want text or json", format)
			}
			if err := write(io.out, changes); err != nil {
				return err
			}
			if len(changes) > 0 {
				return statusError(statusFindings)
			}
			return nil
		},
	}
	cmd.Flags().StringVar(&format, "format", "text", "how the changes are written: text, json")
	return cmd
}
