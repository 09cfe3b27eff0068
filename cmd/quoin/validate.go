package main

import (
	"errors"
	"fmt"
	"os"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"

	"quoin/validate"
	"quoin/validate/house"
	"quoin/validate/profile"
)

func newValidate(io streams) *cobra.Command {
	var flags checking
	var c choices
	cmd := &cobra.Command{
		Use:   "validate FILE|FOLDER|-...",
		Short: "Say what is wrong with tickets and messages, where, by which rule, and who mends it",
		Long: "Validate reads tickets, messages and packages of either generation. Rules of the house are taken from\n" +
			"the nearest " + house.FileName + " at or above each ticket.",
		Example: "  quoin validate order.xjdf\n" +
			"  quoin validate --plant works.yaml --format json incoming/\n" +
			"  quoin validate --only ref --fail-on warning - < order.jdf",
		Args: atLeastOne("ticket, message or folder"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := flags.check(); err != nil {
				return err
			}
			if err := within(&flags, &c); err != nil {
				return err
			}
			return validateAll(cmd, args, &flags, &c, io)
		},
	}
	flags.flags(cmd, append(plain[:len(plain):len(plain)], "sarif", "junit", "html"))
	f := cmd.Flags()
	f.StringVar(&c.plantFile, "plant", "", "plant file; the jobs are checked against its machines")
	f.StringSliceVar(&c.profiles, "profile", nil,
		"conformance profiles to hold the tickets against: "+strings.Join(profile.Names(), ", ")+", or files")
	f.StringSliceVar(&c.schemas, "xsd", nil, "an XSD, or a folder of them, to hold the tickets against as well")
	f.BoolVar(&c.fragment, "fragment", false, "the tickets are snippets: what may stand around them is not asked for")
	f.StringSliceVar(&c.include, "include", ticketNames, "which files of a folder are taken")
	f.StringSliceVar(&c.folders, "files", nil, "folders beside the ticket's own that its URLs may lead to")
	f.StringVar(&c.houseFile, "house", "", "rules of the house, instead of the nearest "+house.FileName)
	f.BoolVar(&c.noHouse, "no-house", false, "take no rules of the house")
	f.BoolVar(&c.instructions, "instructions", false, "let <?quoin ignore …?> in a ticket silence a finding there")
	f.StringVar(&c.baseline, "baseline", "", "findings that this file knows do not fail")
	f.StringVar(&c.newBaseline, "write-baseline", "", "write what is found to a file for --baseline")
	cmd.MarkFlagsMutuallyExclusive("house", "no-house")
	return cmd
}

func validateAll(cmd *cobra.Command, args []string, flags *checking, c *choices, io streams) error {
	files, failed := expand(args, c.include)
	if len(files) == 0 {
		return failed
	}
	s, err := newSetter(flags, c, io)
	if err != nil {
		return err
	}
	for _, f := range files {
		if err := s.take(f); err != nil {
			return err
		}
	}
	defer tameCollector(files)()
	report := s.report
	bar := newProgress(io.err, len(files))
	for _, b := range s.inOrder() {
		r, err := b.run(cmd.Context(), c, io, bar.done)
		if r == nil {
			bar.clear()
			return err
		}
		report.Merge(r)
		failed = errors.Join(failed, err)
	}
	bar.clear()
	report.Finish()
	err = finish(report, files, flags, c, io)
	var findings statusError
	if failed != nil && errors.As(err, &findings) {
		return failed // what could not be run weighs more than what was found
	}
	return errors.Join(failed, err)
}

// manyFiles is from how many files on the time they take together counts more
// than the memory of one.
const manyFiles = 100

// tameCollector sets the garbage collector for what is to be checked, unless GOGC
// says what is wanted. The function returned restores it.
func tameCollector(files []string) (restore func()) {
	if os.Getenv("GOGC") != "" || os.Getenv("GOMEMLIMIT") != "" {
		return func() {}
	}
	if len(files) >= manyFiles {
		return relaxCollector()
	}
	var largest int64
	for _, path := range files {
		info, err := os.Stat(path)
		if err != nil {
			return func() {} // the standard input
		}
		largest = max(largest, info.Size())
	}
	if largest > largeFile {
		return boundMemory(largest)
	}
	return func() {}
}

// largeFile is the size in bytes from which memory is bounded by it.
const largeFile = 4 << 20

// boundMemory leaves all garbage of a large file where it is as long as there is
// room: what is alive of it takes some three times its size, and what its check
// throws away, half of that. Collecting it over and over took as long as a stage.
func boundMemory(largest int64) (restore func()) {
	const beside = 4 << 20 // bytes, for all that is not the file
	percent := debug.SetGCPercent(-1)
	limit := debug.SetMemoryLimit(beside + 5*largest)
	return func() {
		debug.SetGCPercent(percent)
		debug.SetMemoryLimit(limit)
	}
}

// relaxCollector lets the garbage of many small files pile up to some 20 MB
// before it is collected: what is alive is a few hundred kilobytes a core, and
// with the usual setting a third of the time went into collecting. Where large
// files are among them the usual bound comes into force.
func relaxCollector() (restore func()) {
	const (
		percent = 400
		bound   = 256 << 20 // bytes
	)
	usual := debug.SetGCPercent(percent)
	limit := debug.SetMemoryLimit(bound)
	return func() {
		debug.SetGCPercent(usual)
		debug.SetMemoryLimit(limit)
	}
}

// finish writes the report, and the baseline where one is asked for.
func finish(report *validate.Report, files []string, flags *checking, c *choices, io streams) error {
	if c.newBaseline != "" {
		if err := house.WriteBaseline(c.newBaseline, report); err != nil {
			return err
		}
	}
	if c.baseline != "" {
		baseline, err := house.ReadBaseline(c.baseline)
		if err != nil {
			return err
		}
		fresh, known := baseline.Split(report)
		if n := len(known.Findings); n > 0 {
			fmt.Fprintf(io.err, "%d findings are known to %s\n", n, c.baseline)
		}
		report = fresh
	}
	return flags.write(io.out, report, files...)
}
