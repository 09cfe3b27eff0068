//go:build !checker

package main

import (
	"fmt"
	stdio "io"
	"os"

	"github.com/spf13/cobra"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/message"
	"quoin/jdf/pack"
	"quoin/validate"
	"quoin/validate/packages"
)

func newShow(io streams) *cobra.Command {
	return &cobra.Command{
		Use:   "show TICKET|MESSAGE",
		Short: "Print what a ticket or message says, in plain words, whichever generation it is written in",
		Args:  justOne("ticket"),
		RunE: func(_ *cobra.Command, args []string) error {
			doc, err := readTicket(args[0], io)
			if err != nil {
				return err
			}
			if doc.Kind.Message() {
				return message.Decode(doc).Outline(io.out)
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
	if err := notPackage(path); err != nil {
		return nil, err
	}
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

// notPackage says of a package that only the check goes into it; taken for a
// ticket it would be called malformed.
func notPackage(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return nil // reading it will tell, with standard input as it should be
	}
	defer f.Close()
	head := make([]byte, pack.SniffLength)
	n, err := stdio.ReadFull(f, head)
	if err != nil && n == 0 {
		return nil
	}
	if packages.IsPackage(head[:n]) {
		return fmt.Errorf("%q is a package; take the ticket out of it, or look into it with: quoin validate %s", path, path)
	}
	return nil
}
