package ledger

import (
	"context"
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"quoin/cmd/quoin/internal/database"
	"quoin/cmd/quoin/internal/rulebook"
	"quoin/convert/cost"
	"quoin/convert/cost/account"
	"quoin/jdf"
	"quoin/validate"
)

// purchaseColumns are those of a list of purchases; the first of them are needed.
var purchaseColumns = []string{"job", "what", "amount", "part", "date", "supplier", "planned"}

const purchaseColumnsNeeded = 3

// ReadPurchases reads a list of what was bought from outside: comma-separated values
// with a line of column names. Amounts are in the currency of the plant, net; below
// zero is a credit. Lines with findings are left out. The error is that of reading.
func ReadPurchases(name string, from io.Reader) ([]account.Purchase, []validate.Finding, error) {
	r := &purchaseReader{name: name, csv: csv.NewReader(from)}
	r.csv.FieldsPerRecord, r.csv.TrimLeadingSpace = -1, true
	for n := 0; ; n++ {
		row, err := r.csv.Read()
		var bad *csv.ParseError
		switch {
		case errors.Is(err, io.EOF):
			if n == 0 {
				r.heading(nil)
			}
			return r.all, r.found, nil
		case errors.As(err, &bad):
			at := jdf.PlaceIn(name, jdf.Pos{Line: bad.Line, Column: bad.Column}, "purchases")
			r.found = append(r.found, rulebook.PurchaseLine.At(at, validate.F("problem", bad.Err.Error())))
			return r.all, r.found, nil
		case err != nil:
			return nil, nil, fmt.Errorf("read purchases %q: %w", name, err)
		case n == 0:
			if !r.heading(row) {
				return nil, r.found, nil
			}
		default:
			r.purchase(row)
		}
	}
}

type purchaseReader struct {
	name  string
	csv   *csv.Reader
	at    map[string]int // columns by name
	all   []account.Purchase
	found []validate.Finding
}

func (r *purchaseReader) place(field int) jdf.Place {
	pos := jdf.Pos{Line: 1, Column: 1}
	if field >= 0 {
		pos.Line, pos.Column = r.csv.FieldPos(field)
	}
	return jdf.PlaceIn(r.name, pos, "purchases")
}

// heading finds the columns, false where one is missing or not known.
func (r *purchaseReader) heading(row []string) bool {
	r.at = map[string]int{}
	for n, word := range row {
		if n == 0 {
			word = strings.TrimPrefix(word, "\ufeff") // the mark that tables write before UTF-8
		}
		word = strings.ToLower(strings.TrimSpace(word))
		if _, twice := r.at[word]; twice || !slices.Contains(purchaseColumns, word) {
			r.found = append(r.found, rulebook.PurchaseHeading.At(r.place(n), validate.F("got", word),
				validate.F("want", validate.Choices(purchaseColumns)+", each once")))
			continue
		}
		r.at[word] = n
	}
	var missing []string
	for _, word := range purchaseColumns[:purchaseColumnsNeeded] {
		if _, have := r.at[word]; !have {
			missing = append(missing, word)
		}
	}
	if missing != nil {
		r.found = append(r.found, rulebook.PurchaseHeading.At(r.place(min(0, len(row)-1)),
			validate.F("got", strings.Join(row, ",")), validate.F("want", "also "+strings.Join(missing, ", "))))
	}
	return len(r.found) == 0
}

// purchase takes one line, unless a value of it is wrong.
func (r *purchaseReader) purchase(row []string) {
	ok := true
	value := func(column string) string {
		if n, have := r.at[column]; have && n < len(row) {
			return strings.TrimSpace(row[n])
		}
		return ""
	}
	wrong := func(column, want string) {
		ok = false
		field := min(r.at[column], len(row)-1)
		r.found = append(r.found, rulebook.PurchaseValue.At(r.place(field), validate.F("column", column),
			validate.F("got", value(column)), validate.F("want", want)))
	}
	money := func(column string) decimal.Decimal {
		d, err := decimal.NewFromString(value(column))
		if err != nil || d.Exponent() < -8 || d.Abs().GreaterThan(decimal.New(1, 12)) {
			wrong(column, "an amount of money such as 1240.50")
			return decimal.Zero
		}
		return d
	}
	p := account.Purchase{
		Job: value("job"), Part: value("part"), What: value("what"), Supplier: value("supplier"), Day: value("date"),
	}
	for _, column := range []string{"job", "what"} {
		if value(column) == "" {
			wrong(column, "a word")
		}
	}
	if _, err := time.Parse(time.DateOnly, p.Day); p.Day != "" && err != nil {
		wrong("date", "a day such as 2026-03-02")
	}
	p.Cost = money("amount")
	if value("planned") != "" {
		p.Planned = money("planned")
	}
	at := r.place(0).Pos()
	p.Source = cost.Source{File: r.name, Line: at.Line, Column: at.Column, Path: "purchases"}
	if ok {
		r.all = append(r.all, p)
	}
}

// purchaseKey is the hash of all that is said of a purchase, without the place.
func purchaseKey(p *account.Purchase) string {
	sum := sha256.Sum256(fmt.Appendf(nil, "%q %q %q %q %q %s %s", p.Job, p.Part, p.Day, p.Supplier, p.What, p.Cost,
		p.Planned))
	return hex.EncodeToString(sum[:16])
}

// TakePurchases keeps purchases, each once by its content: two that are alike in all
// columns are one, so that the same list again changes nothing.
func (l *Ledger) TakePurchases(ctx context.Context, all []account.Purchase) (Count, error) {
	var done Count
	for batch := range slices.Chunk(all, batchSize) {
		var count Count
		err := l.db.Write(ctx, func(tx *database.Tx) error {
			count = Count{}
			k, err := newKeeper(tx)
			if err != nil {
				return err
			}
			defer k.close()
			for i := range batch {
				isNew, err := k.insert("purchases", purchaseKey(&batch[i]), &batch[i], batch[i].Job, batch[i].Day)
				if err != nil {
					return err
				}
				count.add(isNew)
			}
			return nil
		})
		if err != nil {
			return done, fmt.Errorf("import purchases into ledger: %w", err)
		}
		done.plus(count)
	}
	return done, nil
}
