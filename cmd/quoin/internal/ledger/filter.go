package ledger

import (
	"strings"
	"time"

	"quoin/cmd/quoin/internal/database"
)

// Filter chooses what is read. The zero Filter takes all.
type Filter struct {
	From, To time.Time // what goes on between the two, To exclusive; zero is no limit
	Jobs     []string  // by JobID; empty takes all, "" is what was done for no job
	Devices  []string  // by DeviceID; empty takes all
}

// clause gathers conditions and their values.
type clause struct {
	text []string
	args []any
}

func (c *clause) and(text string, args ...any) {
	c.text, c.args = append(c.text, text), append(c.args, args...)
}

func (c *clause) in(column string, values []string) {
	if len(values) == 0 {
		return
	}
	marks := strings.TrimSuffix(strings.Repeat("?, ", len(values)), ", ")
	args := make([]any, len(values))
	for i, v := range values {
		args[i] = v
	}
	c.and(column+" IN ("+marks+")", args...)
}

// where is the text after WHERE, which is true where nothing was asked.
func (c *clause) where() string {
	if len(c.text) == 0 {
		return "1 = 1"
	}
	return strings.Join(c.text, " AND ")
}

// entries are the conditions on the table of entries.
func (f Filter) entries() *clause {
	c := &clause{}
	if !f.From.IsZero() {
		c.and("ends > ?", database.Micros(f.From))
	}
	if !f.To.IsZero() {
		c.and("starts < ?", database.Micros(f.To))
	}
	c.in("job", f.Jobs)
	c.in("device", f.Devices)
	return c
}
