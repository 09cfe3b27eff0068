//go:build !checker

package main

import (
	"context"
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"

	"quoin/validate"
	"quoin/validate/packages"
	"quoin/validate/packages/pdf"
	"quoin/validate/render"
)

// completes tells whether there is a command to complete others with.
const completes = true

// commands lists what the program does: the whole program does all.
func commands(io streams) []*cobra.Command {
	return append([]*cobra.Command{
		newValidate(io), newPlan(io), newSchedule(io), newCollect(io), newReport(io), newConvert(io), newDiff(io),
		newShow(io), newPlant(io), newLearn(io), newServe(io), newAPI(io), newRehearse(io), newBackup(io),
		newRestore(io), newExplain(io), newVersion(io),
	}, extra(io)...)
}

// run runs the command line and returns the exit status.
func run(ctx context.Context, args []string, io streams) int {
	return ended(execute(ctx, args, io), io)
}

// pdfReader reads the PDFs that tickets name.
func pdfReader() packages.PDFReader { return pdf.Reader{} }

// within reports what of a check has to be done elsewhere: nothing.
func within(*checking, *choices) error { return nil }

// writeHTML writes a report as a page to mail.
func writeHTML(out io.Writer, report *validate.Report) error {
	return render.HTML(out, report, render.Page{Made: time.Now()})
}

// justOne says what a command is missing in its own terms.
func justOne(what string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) != 1 {
			return fmt.Errorf("%d names given; want one %s, as in: quoin %s", len(args), what, usage(cmd))
		}
		return nil
	}
}
