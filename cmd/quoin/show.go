package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate"
)

func newShow(io streams) *cobra.Command {
	return &cobra.Command{
		Use:   "show TICKET",
		Short: "Print what a ticket says, in plain words, whichever generation it is written in",
		Args:  justOne("ticket"),
		RunE: func(_ *cobra.Command, args []string) error {
			doc, err := readTicket(args[0], io)
			if err != nil {
				return err
			}
			return job.Decode(doc).Outline(io.out)
		},
	}
}

// readTicket reads one ticket for a command that needs it whole. What is wrong
// with it as XML is written, and ends the command.
func readTicket(path string, io streams) (*jdf.Document, error) {
	var doc *jdf.Document
	var faults []jdf.Fault
	var err error
	if path == "-" {
		doc, faults, err = jdf.Read("<stdin>", io.in, jdf.Limits{})
	} else {
		doc, faults, err = jdf.ReadFile(path, jdf.Limits{})
	}
	if err != nil {
		return nil, err
	}
	if len(faults) == 0 {
		return doc, nil
	}
	report := validate.NewReport(0)
	report.Files = 1
	for _, f := range faults {
		report.Add(validate.OfFault(f))
	}
	report.Finish()
	c := checking{format: "text", failOn: "error"}
	if err := c.write(io.out, report); err != nil {
		return nil, err
	}
	return nil, fmt.Errorf("%q can not be used as it is", path)
}
