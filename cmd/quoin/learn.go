//go:build !checker

package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"quoin/cmd/quoin/internal/database"
	"quoin/cmd/quoin/internal/ledger"
	"quoin/convert/cost"
	"quoin/convert/cost/account"
	"quoin/convert/cost/learn"
	"quoin/validate/plant"
)

// learning is the flags of learn.
type learning struct {
	plantFile, out, hold, format string
	confidence                   float64
}

func newLearn(io streams) *cobra.Command {
	var l learning
	cmd := &cobra.Command{
		Use:   "learn LEDGER --plant PLANT [--out FILE]",
		Short: "Propose better figures for the plant file from what really happened",
		Long: "Learn compares the tasks of a ledger with their plans: makeready, running speed, wash-up and waste of each\n" +
			"device. What differs surely enough is proposed as a change of the plant file, which itself is never changed;\n" +
			"--out writes the proposed file elsewhere. The last jobs teach nothing: they show what the proposal is worth.\n\n" +
			"The plant file has to be the one that the plans were made with: a difference from the plan is taken for one\n" +
			"from the file. Jobs with rework, or with too much out of the tolerance of colour, teach nothing.",
		Example: "  quoin learn works.ledger --plant works.yaml\n" +
			"  quoin learn works.ledger --plant works.yaml --hold 7 --out proposed.yaml",
		Args: justOne("ledger"),
		RunE: func(cmd *cobra.Command, args []string) error { return l.run(cmd.Context(), args[0], io) },
	}
	cmd.Flags().StringVar(&l.plantFile, "plant", "", "plant file that the plans were made with")
	cmd.Flags().StringVar(&l.out, "out", "", "file to write the proposed plant file to")
	cmd.Flags().StringVar(&l.hold, "hold", "25%", "what is held out of the end, in days or as a share such as 25%")
	cmd.Flags().Float64Var(&l.confidence, "confidence", 95, "that nothing is proposed where nothing differs, in percent")
	cmd.Flags().StringVar(&l.format, "format", "text", "how the result is written: text or json")
	return cmd
}

func (l *learning) run(ctx context.Context, from string, io streams) error {
	options, err := l.options()
	if err != nil {
		return err
	}
	works, err := loadPlant(l.plantFile, l.format, io.out)
	if err != nil {
		return err
	}
	src, err := os.ReadFile(l.plantFile)
	if err != nil {
		return fmt.Errorf("read plant file: %w; name one file, not a folder", err)
	}
	lesson, err := l.lesson(ctx, from, src, works, options)
	if err != nil {
		return fmt.Errorf("learn from %q: %w", from, err)
	}
	if l.out != "" && lesson.Proposed != nil {
		if err := replaceFile(l.out, lesson.Proposed); err != nil {
			return err
		}
	}
	return l.show(io.out, lesson)
}

// options reads the flags.
func (l *learning) options() (learn.Options, error) {
	o := learn.Options{Confidence: l.confidence}
	if l.plantFile == "" {
		return o, errNoPlant
	}
	if l.format != "text" && l.format != "json" {
		return o, fmt.Errorf("--format is %q; want text or json", l.format)
	}
	if !(l.confidence >= 50 && l.confidence < 100) {
		return o, fmt.Errorf("--confidence is %g; want a percentage from 50 to below 100", l.confidence)
	}
	share, percent := strings.CutSuffix(l.hold, "%")
	n, err := strconv.ParseFloat(strings.TrimSpace(share), 64)
	switch {
	case err != nil || !(n > 0) || math.IsInf(n, 0) || percent && n >= 100 || !percent && n > 3660:
		return o, fmt.Errorf("--hold is %q; want days such as 7, or a share such as 25%%", l.hold)
	case percent:
		o.Share = n / 100
	default:
		o.Hold = time.Duration(n * float64(24*time.Hour))
	}
	if l.out != "" && sameFile(l.out, l.plantFile) {
		return o, fmt.Errorf("--out is the plant file %q, which is never overwritten; name another file", l.plantFile)
	}
	return o, nil
}

// sameFile reports whether two names are of one file, by whatever links.
func sameFile(a, b string) bool {
	x, err := os.Stat(a)
	y, bad := os.Stat(b)
	if err == nil && bad == nil {
		return os.SameFile(x, y)
	}
	return filepath.Clean(a) == filepath.Clean(b)
}

// lesson reads the ledger, which has to be there.
func (l *learning) lesson(
	ctx context.Context, from string, src []byte, works *plant.Plant, o learn.Options,
) (_ *learn.Lesson, err error) {
	if !strings.Contains(from, "://") {
		if _, err := os.Stat(from); err != nil {
			return nil, fmt.Errorf("%w; make one with `quoin collect --ledger`", err)
		}
	}
	db, err := database.Open(ctx, from)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	books, err := ledger.Open(ctx, db, works)
	if err != nil {
		return nil, err
	}
	all, err := books.Books(ctx, ledger.Filter{})
	if err != nil {
		return nil, err
	}
	var broken error
	entries := func(yield func(cost.Entry) bool) {
		for e, err := range books.Entries(ctx, ledger.Filter{}) {
			if err != nil {
				broken = err
				return
			}
			if !yield(e) {
				return
			}
		}
	}
	history := learn.History{Tasks: all.Tasks, Entries: entries, Trouble: inTrouble(all.Colour, works)}
	lesson, err := learn.Learn(l.plantFile, src, works, history, o)
	if broken != nil {
		return nil, broken
	}
	return lesson, err
}

// inTrouble lists the jobs that kept the tolerance of colour less often than the
// plant wants: their waste and time tell of the trouble.
func inTrouble(measured []account.Colour, works *plant.Plant) map[string]bool {
	in, all, trouble := map[string]int{}, map[string]int{}, map[string]bool{}
	for _, c := range measured {
		in[c.Job] += c.In + c.Near
		all[c.Job] += c.In + c.Near + c.Out
	}
	for id, n := range all {
		if works.Colour != nil && n > 0 && 100*float64(in[id]) < works.Colour.Within*float64(n) {
			trouble[id] = true
		}
	}
	return trouble
}

func (l *learning) show(out io.Writer, lesson *learn.Lesson) error {
	if l.format != "json" {
		return learn.Write(out, lesson)
	}
	enc := json.NewEncoder(out)
	enc.SetIndent("", "  ")
	if err := enc.Encode(lesson); err != nil {
		return fmt.Errorf("write lesson: %w", err)
	}
	return nil
}
