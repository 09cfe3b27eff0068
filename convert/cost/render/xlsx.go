package render

import (
	"archive/zip"
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"

	"quoin/convert/cost"
	"quoin/convert/cost/account"
)

// sheet is one table of the workbook.
type sheet struct {
	name    string
	columns []column
	rows    int
	at      func(row, column int) any
}

type column struct {
	title string
	kind  kind
}

// mostSheetRows is how many rows a sheet can hold beside its heading.
//
// Source: the limits that excelize documents: 1,048,576 rows.
const mostSheetRows = excelize.TotalRows - 1

// XLSX writes a workbook with the sheets rows, lines, materials, shifts, stops,
// deviations, deliveries and notes. Money and quantities are numbers, times are times
// of a spreadsheet, days are dates; nothing is a formula. What does not fit into the
// rows of a sheet is said in the notes. The error is that of the writer.
func XLSX(w io.Writer, r *Report) (err error) {
	book := excelize.NewFile()
	defer func() { err = errors.Join(err, book.Close()) }()
	styles, err := newStyles(book, r.Statement.Places)
	if err != nil {
		return fmt.Errorf("write workbook: %w", err)
	}
	var notes []string
	for n, s := range append(sheets(r.Statement), sheet{}) {
		if s.name == "" {
			title, narrowed := headline(r.Statement)
			notes = append(append([]string{title, narrowed}, missing(r.Statement)...), append(r.Notes, notes...)...)
			s = notesSheet(notes)
		}
		if s.rows > mostSheetRows {
			notes = append(notes, fmt.Sprintf("The sheet %s leaves out %s.", s.name, count(s.rows-mostSheetRows, "row", "rows")))
			s.rows = mostSheetRows
		}
		if n == 0 {
			err = book.SetSheetName("Sheet1", s.name)
		} else {
			_, err = book.NewSheet(s.name)
		}
		if err == nil {
			err = writeSheet(book, s, styles)
		}
		if err != nil {
			return fmt.Errorf("write sheet %q: %w", s.name, err)
		}
	}
	packed, err := book.WriteToBuffer()
	if err == nil {
		err = inOrder(w, packed.Bytes())
	}
	if err != nil {
		return fmt.Errorf("write workbook: %w", err)
	}
	return nil
}

// inOrder writes a package again with its parts by name, since a streamed workbook has
// them in any order, and the same statement is to give the same bytes.
func inOrder(w io.Writer, packed []byte) error {
	from, err := zip.NewReader(bytes.NewReader(packed), int64(len(packed)))
	if err != nil {
		return err
	}
	slices.SortFunc(from.File, func(a, b *zip.File) int { return cmp.Compare(a.Name, b.Name) })
	to := zip.NewWriter(w)
	for _, f := range from.File {
		if err := to.Copy(f); err != nil {
			return err
		}
	}
	return to.Close()
}

type styles struct {
	heading int
	of      map[kind]int
}

func newStyles(book *excelize.File, places int32) (*styles, error) {
	s := &styles{of: map[kind]int{}}
	var err error
	if s.heading, err = book.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}}); err != nil {
		return nil, err
	}
	cash := "#,##0"
	if places > 0 {
		cash += "." + strings.Repeat("0", int(places))
	}
	for _, of := range []struct {
		kind   kind
		format string
	}{
		{text, "@"}, {number, "#,##0.###"}, {length, "[h]:mm:ss"}, {amountOfMoney, cash}, {ratio, "0.0%"}, {day,
			"yyyy-mm-dd"},
	} {
		if s.of[of.kind], err = book.NewStyle(&excelize.Style{CustomNumFmt: &of.format}); err != nil {
			return nil, err
		}
	}
	return s, nil
}

// writeSheet streams a table with a heading that stays in view.
func writeSheet(book *excelize.File, s sheet, styles *styles) error {
	out, err := book.NewStreamWriter(s.name)
	if err != nil {
		return err
	}
	heading := make([]any, len(s.columns))
	for i, c := range s.columns {
		heading[i] = excelize.Cell{StyleID: styles.heading, Value: c.title}
		wide := 14.0
		if c.kind == text {
			wide = 22
		}
		err = errors.Join(err, out.SetColWidth(i+1, i+1, wide))
	}
	err = errors.Join(err, out.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2",
		ActivePane: "bottomLeft"}),
		out.SetRow("A1", heading))
	row := make([]any, len(s.columns))
	for n := 0; n < s.rows && err == nil; n++ {
		for i, c := range s.columns {
			row[i] = excelize.Cell{StyleID: styles.of[c.kind], Value: sheetValue(s.at(n, i), c.kind)}
		}
		err = out.SetRow(fmt.Sprintf("A%d", n+2), row)
	}
	return errors.Join(err, out.Flush())
}

// sheetValue is a value as a workbook keeps it. Text is a string of the workbook,
// never a formula, whatever it begins with.
func sheetValue(v any, k kind) any {
	switch v := v.(type) {
	case decimal.Decimal:
		return v.InexactFloat64()
	case cost.Span:
		return time.Duration(v).Hours() / 24
	case cost.Ratio:
		if !v.Known {
			return nil
		}
		return v.Value.InexactFloat64()
	case sentence:
		return safeLine(string(v))
	case string:
		if t, err := time.Parse(time.DateOnly, v); k == day && err == nil {
			return t
		}
		return safe(v)
	}
	return v
}

func notesSheet(notes []string) sheet {
	kept := notes[:0:0]
	for _, n := range notes {
		if n != "" {
			kept = append(kept, n)
		}
	}
	return sheet{"notes", []column{{"Note", text}}, len(kept), func(row, _ int) any { return sentence(kept[row]) }}
}

func sheets(s *account.Statement) []sheet {
	return []sheet{
		rowsSheet(s), linesSheet(s), materialsSheet(s), shiftsSheet(s), stopsSheet(s), deviationsSheet(s), deliveriesSheet(s),
	}
}

// rowsSheet has the columns of a line that rows have too. Amounts have no sum over
// devices.
func rowsSheet(s *account.Statement) sheet {
	var kept []field
	for _, f := range fields() {
		switch f.name {
		case "device", "device_name", "good", "waste", "planned_good", "planned_waste":
		default:
			kept = append(kept, f)
		}
	}
	columns := titles(kept)
	ratios := []string{"Availability", "Performance", "Quality", "OEE"}
	for _, name := range ratios {
		columns = append(columns, column{name, ratio})
	}
	return sheet{"rows", columns, len(s.Rows), func(row, col int) any {
		r := &s.Rows[row]
		if col < len(kept) {
			return kept[col].of(s, r, &account.Line{Figures: r.Figures})
		}
		return []any{r.OEE.Availability, r.OEE.Performance, r.OEE.Quality, r.OEE.Overall}[col-len(kept)]
	}}
}

func titles(all []field) []column {
	var columns []column
	for _, f := range all {
		columns = append(columns, column{f.title, f.kind})
	}
	return columns
}

func linesSheet(s *account.Statement) sheet {
	all := fields()
	type place struct{ row, line int }
	var places []place
	for i := range s.Rows {
		for j := range s.Rows[i].Lines {
			places = append(places, place{i, j})
		}
	}
	return sheet{"lines", titles(all), len(places), func(row, col int) any {
		r := &s.Rows[places[row].row]
		return all[col].of(s, r, &r.Lines[places[row].line])
	}}
}
