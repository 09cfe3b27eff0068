//go:build !checker

package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"quoin/cmd/quoin/internal/database"
	"quoin/cmd/quoin/internal/ledger"
	"quoin/convert/cost/account"
	"quoin/convert/cost/render"
	"quoin/validate"
	"quoin/validate/plant"
)

// reporting is the flags of report.
type reporting struct {
	plantFile, by, format, out string
	planFiles                  []string
	filter                     account.Filter
}

var reportFormats = []string{"text", "csv", "json", "xlsx", "html"}

func newReport(io streams) *cobra.Command {
	var r reporting
	cmd := &cobra.Command{
		Use:   "report LEDGER|PATH... --plant PLANT [--by DIMENSION] [--format FORMAT] [--out FILE]",
		Short: "Show what time, material and purchases cost beside the plan, by job, device, customer or month",
		Long: "Report keeps the books of a ledger that quoin collect filled, or of reported files themselves: cost by\n" +
			"job, part, cost-centre, device, operator, customer, shift, day, week or month, beside the plan, with the\n" +
			"causes of each difference, stop reasons, deliveries, material and the effectiveness of devices.\n\n" +
			"As html it is one page with charts, which needs nothing from elsewhere and looks into a month down to\n" +
			"the line of a ticket. Findings on the data are counted in the report; quoin collect lists them.",
		Example: "  quoin report works.ledger --plant works.yaml --by month\n" +
			"  quoin report works.ledger --plant works.yaml --from 2026-03-02 --to 2026-03-08 --format html --out week.html\n" +
			"  quoin report returned/ signals/ --plan jobs/4711 --plant works.yaml --by device --format csv",
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := r.check(cmd, args); err != nil {
				return err
			}
			return r.run(cmd.Context(), args, io)
		},
	}
	r.flags(cmd)
	return cmd
}

func (r *reporting) flags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVar(&r.plantFile, "plant", "", "plant file, with rates, shifts and tolerance")
	f.StringSliceVar(&r.planFiles, "plan", nil, "folders that quoin plan --out wrote, to compare reported files with")
	f.StringVar(&r.by, "by", "job",
		"what the rows are: job, part, cost-centre, device, operator, customer, shift, day, week or month")
	f.StringVar(&r.filter.From, "from", "", "the first day, as in 2026-03-02")
	f.StringVar(&r.filter.To, "to", "", "the last day")
	f.StringArrayVar(&r.filter.Jobs, "job", nil, "only this job; may be given more than once, as all below")
	f.StringArrayVar(&r.filter.Devices, "device", nil, "only this device")
	f.StringArrayVar(&r.filter.Centres, "centre", nil, "only this cost centre")
	f.StringArrayVar(&r.filter.Customers, "customer", nil, "only this customer")
	f.StringArrayVar(&r.filter.Operators, "operator", nil, "only this operator")
	f.StringVar(&r.format, "format", "text", "how the report is written: "+strings.Join(reportFormats, ", "))
	f.StringVar(&r.out, "out", "", "file to write to, instead of the standard output")
}

func (r *reporting) check(cmd *cobra.Command, args []string) error {
	if !slices.Contains(reportFormats, r.format) {
		return fmt.Errorf("--format is %q; want %s", r.format, validate.Choices(reportFormats))
	}
	if _, err := account.ParseBy(r.by); err != nil {
		return fmt.Errorf("--by: %w", err)
	}
	for _, of := range []struct{ flag, day string }{{"from", r.filter.From}, {"to", r.filter.To}} {
		if _, err := time.Parse(time.DateOnly, of.day); of.day != "" && err != nil {
			return fmt.Errorf("--%s is %q; want a day such as 2026-03-02", of.flag, of.day)
		}
	}
	if r.filter.From != "" && r.filter.To != "" && r.filter.From > r.filter.To {
		return fmt.Errorf("--from is %s, after --to, %s; want the first day before the last", r.filter.From, r.filter.To)
	}
	if r.plantFile == "" {
		return errNoPlant
	}
	return atLeastOne("ledger, ticket, message or folder")(cmd, args)
}

func (r *reporting) run(ctx context.Context, args []string, io streams) (err error) {
	if r.format == "xlsx" && r.out == "" && isTerminal(io.out) {
		return errors.New("a workbook is nothing for a terminal; name a file with --out, such as --out report.xlsx")
	}
	works, err := loadPlant(r.plantFile, "text", io.err)
	if err != nil {
		return err
	}
	books, err := r.open(ctx, args, works, io)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, books.close()) }()
	report, err := r.statement(ctx, books.Ledger, works)
	if err != nil {
		return err
	}
	report.Notes = append(report.Notes, books.notes()...)
	if r.out == "" {
		return r.write(io.out, report)
	}
	var page bytes.Buffer
	if err := r.write(&page, report); err != nil {
		return err
	}
	return replaceFile(r.out, page.Bytes())
}

func (r *reporting) write(w io.Writer, report *render.Report) error {
	switch r.format {
	case "csv":
		return render.CSV(w, report.Statement)
	case "json":
		return render.JSON(w, report.Statement)
	case "xlsx":
		return render.XLSX(w, report)
	case "html":
		return render.HTML(w, report)
	}
	return render.Text(w, report)
}

// openBooks is a ledger, with what is to be undone when the report is written.
type openBooks struct {
	*ledger.Ledger
	found map[validate.Severity]int
	undo  []func() error // the last first
}

func (b *openBooks) close() error {
	var err error
	for _, undo := range slices.Backward(b.undo) {
		err = errors.Join(err, undo())
	}
	return err
}

// notes sums up the findings on the data.
func (b *openBooks) notes() []string {
	var parts []string
	for s := validate.Error; s >= validate.Note; s-- {
		if n := b.found[s]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d of severity %s", n, s))
		}
	}
	if len(parts) == 0 {
		return nil
	}
	return []string{"There are findings on the data: " + strings.Join(parts, ", ") + "; quoin collect lists them."}
}

// open opens the ledger that is named, or reads files into one in a folder of its
// own, which is gone when it is closed.
func (r *reporting) open(ctx context.Context, args []string, works *plant.Plant, io streams) (b *openBooks, err error) {
	b = &openBooks{found: map[validate.Severity]int{}}
	defer func() {
		if err != nil {
			err = errors.Join(err, b.close())
		}
	}()
	file, kept := args[0], len(args) == 1 && isLedger(args[0])
	switch {
	case kept && len(r.planFiles) > 0:
		return nil, fmt.Errorf("--plan is for reported files; a ledger keeps its plans: "+
			"add them with quoin collect --plan FOLDER --ledger %s", file)
	case !kept:
		dir, err := os.MkdirTemp("", "quoin-report-")
		if err != nil {
			return nil, fmt.Errorf("make folder for the books: %w", err)
		}
		b.undo = append(b.undo, func() error { return os.RemoveAll(dir) })
		file = filepath.Join(dir, "ledger")
	}
	db, err := database.Open(ctx, file)
	if err != nil {
		return b, err
	}
	b.undo = append(b.undo, db.Close)
	if b.Ledger, err = ledger.Open(ctx, db, works); err != nil {
		return b, err
	}
	if !kept {
		return b, r.read(ctx, b, args, io)
	}
	for f, err := range b.Findings(ctx, ledger.Filter{}) {
		if err != nil {
			return b, err
		}
		b.found[f.Severity]++
	}
	return b, nil
}

// read takes plans and files into the books.
func (r *reporting) read(ctx context.Context, b *openBooks, args []string, io streams) error {
	plans, err := readPlans(r.planFiles)
	if err != nil {
		return err
	}
	files, err := expand(args, ticketNames)
	if err != nil {
		return err
	}
	if _, _, err := b.Take(ctx, plannedSaid(plans)); err != nil {
		return err
	}
	reader := &ledger.Files{Paths: files, Stdin: io.in, Report: func(f validate.Finding) { b.found[f.Severity]++ }}
	_, found, err := b.Import(ctx, reader.All(ctx))
	for _, f := range found {
		b.found[f.Severity]++
	}
	return err
}

// isLedger reports whether an argument is the address of a database, or a file that
// begins as those of SQLite do.
//
// Source: the database file format of SQLite, section 1.3: the header string.
func isLedger(arg string) bool {
	if strings.HasPrefix(arg, "postgres://") || strings.HasPrefix(arg, "postgresql://") {
		return true
	}
	f, err := os.Open(arg)
	if err != nil {
		return false // whoever reads it as a ticket says why
	}
	defer func() { _ = f.Close() }() // it was only read
	head := make([]byte, 16)
	_, err = io.ReadFull(f, head)
	return err == nil && string(head) == "SQLite format 3\x00"
}
