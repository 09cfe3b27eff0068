package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
)

// The exit statuses.
const (
	statusClean    = 0 // nothing at or over the chosen severity
	statusFindings = 1 // findings at or over the chosen severity
	statusFailed   = 2 // wrong usage, or something that could not be run
)

// streams are what a command reads and writes: results on out, our own trouble on err.
type streams struct {
	in       io.Reader
	out, err io.Writer
}

// statusError carries an exit status through cobra. It prints nothing: what
// there was to say has been said.
type statusError int

func (s statusError) Error() string { return fmt.Sprintf("exit status %d", int(s)) }

// run runs the command line and returns the exit status.
func run(ctx context.Context, args []string, io streams) int {
	root := newRoot(io)
	root.SetArgs(args)
	err := root.ExecuteContext(ctx)
	var status statusError
	switch {
	case err == nil:
		return statusClean
	case errors.As(err, &status):
		return int(status)
	}
	fmt.Fprintf(io.err, "quoin: %v\n", err)
	return statusFailed
}

func newRoot(io streams) *cobra.Command {
	root := &cobra.Command{
		Use:   "quoin",
		Short: "Check, plan and cost the job tickets of a printing plant",
		Long: "Quoin reads JDF, JMF, XJDF and XJMF, says exactly what is wrong with them, checks\n" +
			"whether a plant can make the job, plans it, writes the tickets for its machines, and\n" +
			"turns what the machines report into cost.\n\n" +
			"Exit status: 0 clean, 1 findings at or over the chosen severity, 2 could not run.",
		SilenceUsage:  true,
		SilenceErrors: true,
	}
	root.SetIn(io.in)
	root.SetOut(io.out)
	root.SetErr(io.err)
	root.AddCommand(
		newValidate(io), newPlan(io), newSchedule(io), newCollect(io), newReport(io), newConvert(io), newDiff(io),
		newShow(io), newPlant(io),
		newLearn(io), newServe(io), newAPI(io), newRehearse(io), newBackup(io), newRestore(io), newExplain(io), newVersion(io),
	)
	root.AddCommand(extra(io)...)
	return root
}

// terminal reports whether a writer is a terminal that wants colour.
func terminal(w io.Writer) bool {
	return os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb" && isTerminal(w)
}

func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}

// width is the width of the terminal as its shell gives it, or 0 for not known.
func width(w io.Writer) int {
	columns, err := strconv.Atoi(os.Getenv("COLUMNS"))
	if err != nil || columns < 40 || !isTerminal(w) {
		return 0
	}
	return columns
}

// justOne and atLeastOne say what a command is missing in its own terms.
func justOne(what string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) != 1 {
			return fmt.Errorf("%d names given; want one %s, as in: quoin %s", len(args), what, usage(cmd))
		}
		return nil
	}
}

func atLeastOne(what string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) == 0 {
			return fmt.Errorf("nothing to work on; name at least one %s, as in: quoin %s", what, usage(cmd))
		}
		return nil
	}
}

func usage(cmd *cobra.Command) string {
	_, line, _ := strings.Cut(cmd.UseLine(), " ")
	return strings.TrimSuffix(line, " [flags]")
}
