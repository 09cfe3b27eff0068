//go:build checker

package main

import (
	"context"
	"errors"
	"io"
	"os"
	"os/signal"
	"syscall"

	"github.com/spf13/cobra"

	"quoin/validate"
	"quoin/validate/packages"
)

// With the tag checker the program checks tickets, and no more: it starts in a
// part of the time that the whole program takes, which counts where one ticket is
// checked at a time. All else that is asked of it is done by the whole program,
// which stands beside it.
func main() {
	args, all := os.Args[1:], streams{os.Stdin, os.Stdout, os.Stderr}
	switch {
	case len(args) == 0:
		os.Exit(handOn("quoin", all.err))
	case args[0] != "validate":
		os.Exit(handOn("quoin "+args[0], all.err))
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	err := execute(ctx, args, all)
	interrupted := ctx.Err() != nil
	stop()
	var more beyond
	if errors.As(err, &more) && !interrupted {
		os.Exit(handOn(string(more), all.err))
	}
	os.Exit(ended(err, all))
}

// completes tells whether there is a command to complete others with. It is the
// whole program that is asked for it.
const completes = false

// commands lists what the program does itself.
func commands(io streams) []*cobra.Command { return []*cobra.Command{newValidate(io)} }

// pdfReader reads no PDFs: the library for it is large.
func pdfReader() packages.PDFReader { return nil }

// writeHTML writes no pages: what makes them costs every start. See within.
func writeHTML(io.Writer, *validate.Report) error { return beyond("quoin validate --format html") }

// within reports what of a check has to be done by the whole program. That
// tickets name PDFs is seen later, while they are checked.
func within(flags *checking, c *choices) error {
	switch {
	case len(c.schemas) > 0:
		return beyond("quoin validate --xsd")
	case flags.format == "html":
		return writeHTML(nil, nil)
	}
	return nil
}
