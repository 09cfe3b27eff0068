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

// beyond says what is asked for that this build does not do by itself. It comes
// before anything is written, and before the standard input is read.
type beyond string

func (b beyond) Error() string { return string(b) + " is not in this program" }

// execute runs the command line.
func execute(ctx context.Context, args []string, io streams) error {
	root := newRoot(io)
	root.SetArgs(args)
	return root.ExecuteContext(ctx)
}

// ended tells how a command line ended, and returns the exit status.
func ended(err error, io streams) int {
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
	root.AddCommand(commands(io)...)
	root.CompletionOptions.DisableDefaultCmd = !completes
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

// atLeastOne says what a command is missing in its own terms.
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
