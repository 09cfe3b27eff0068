package ledger

import (
	"cmp"
	"database/sql"
	"fmt"
	"math"
	"slices"
	"time"

	"quoin/cmd/quoin/internal/database"
	"quoin/convert/cost"
)

// settler settles one device, page by page.
type settler struct {
	*Ledger
	tx      *database.Tx
	group   int64
	cut     *cutting // nil where cells are made later
	entry   *bulk
	finding *sql.Stmt
	quiet   *sql.Stmt

	from    int64 // where the window begins
	frame   cost.Frame
	strands map[string]cost.Bounds
	since   int64  // of the last record that was read
	key     []byte // of the last record that was read
	jobs    map[string]bool
	entries int64
	warned  map[int64]bool // days on which the clock was told of before the window
}

func (s *settler) prepare() (err error) {
	s.jobs, s.warned = map[string]bool{}, map[int64]bool{}
	s.entry = newBulk(s.tx, insertEntry, entryValuesLen, "")
	s.finding, err = s.tx.Prepare("INSERT INTO ledger_findings (grp, job, at, rule, body) VALUES (?, '', ?, ?, ?)")
	if err != nil {
		return err
	}
	s.quiet, err = s.tx.Prepare("INSERT INTO ledger_quiet (grp, at) VALUES (?, ?) ON CONFLICT (grp, at) DO NOTHING")
	return err
}

func (s *settler) close() {
	s.entry.close()
	if s.cut != nil {
		s.cut.close()
	}
	s.finding.Close()
	s.quiet.Close()
}

// run settles from the last quiet point on that no change reaches.
func (s *settler) run() error {
	var dirty int64
	err := s.tx.QueryRow("SELECT dirty FROM ledger_groups WHERE id = ?", s.group).Scan(&dirty)
	if err != nil || dirty == clean {
		return err // another import was faster
	}
	if s.from, err = s.window(dirty); err != nil {
		return err
	}
	if err := s.known(); err != nil {
		return err
	}
	if err := s.clear(); err != nil {
		return err
	}
	if err := s.beginCut(); err != nil {
		return err
	}
	if err := s.pages(); err != nil {
		return err
	}
	if err := s.entry.flush(); err != nil {
		return err
	}
	uncut := s.from
	if s.cut != nil {
		uncut = clean
		if err := s.cut.end(); err != nil {
			return err
		}
	}
	_, err = s.tx.Exec(`UPDATE ledger_groups SET dirty = ?, uncut = CASE WHEN ? OR uncut > ? THEN ? ELSE uncut END,
		entries = entries + ? WHERE id = ?`, int64(clean), s.cut != nil, uncut, uncut, s.entries, s.group)
	if err != nil {
		return err
	}
	return noteJobs(s.tx, sortedKeys(s.jobs))
}

// beginCut makes ready to cut the entries into cells as they are settled, which spares
// reading them again. Where cells are missing from before the window, all wait for that.
func (s *settler) beginCut() error {
	if s.plant == nil {
		return nil
	}
	var uncut int64
	err := s.tx.QueryRow("SELECT uncut FROM ledger_groups WHERE id = ?", s.group).Scan(&uncut)
	if err != nil || uncut < s.from {
		return err
	}
	s.cut = newCutting(s.Ledger, s.tx, s.group)
	from, err := s.cut.begin(s.from)
	if err != nil {
		return err
	}
	before, err := entriesIn(s.tx, "grp = ? AND at >= ? AND at < ? ORDER BY at", s.group, from, s.from)
	if err != nil {
		return err
	}
	for i := range before {
		if err := s.cut.add(&before[i]); err != nil {
			return err
		}
	}
	return nil
}

// window finds where to begin. What begins at the last quiet point before the
// change may end what was before it, so that the one before that is taken.
func (s *settler) window(dirty int64) (int64, error) {
	from := int64(math.MinInt64)
	n := 0
	err := s.tx.Each(func(rows *sql.Rows) error {
		var at int64
		if err := rows.Scan(&at); err != nil {
			return err
		}
		if n++; n == 2 {
			from = at
		}
		return nil
	}, "SELECT at FROM ledger_quiet WHERE grp = ? AND at <= ? ORDER BY at DESC LIMIT 2", s.group, dirty)
	return from, err
}

// known reads what is known of the device from all of its records, as far as
// the window asks for it.
func (s *settler) known() error {
	var heard int64
	if err := s.tx.QueryRow("SELECT heard FROM ledger_groups WHERE id = ?", s.group).Scan(&heard); err != nil {
		return err
	}
	s.frame = cost.Frame{Heard: database.Time(heard), Clock: cost.Clock{}}
	const day = 24 * 60 * 60 * 1000000
	since := s.from
	if since != math.MinInt64 {
		since = dayStart(time.UnixMicro(since))
	}
	err := s.tx.Each(func(rows *sql.Rows) error {
		var number, least, most int64
		var count int
		err := rows.Scan(&number, &least, &most, &count)
		s.frame.Clock[number] = cost.Offset{
			Least: cost.Span(least * int64(time.Microsecond)), Most: cost.Span(most * int64(time.Microsecond)), Count: count,
		}
		return err
	}, fmt.Sprintf(`SELECT seen / %d, MIN(received - seen), MAX(received - seen), COUNT(*) FROM ledger_records
		WHERE grp = ? AND received > 0 AND seen >= ? GROUP BY seen / %d`, day, day), s.group, since)
	if err != nil {
		return err
	}
	s.strands, err = strandsFrom(s.tx, s.group, s.from)
	return err
}

// clear takes out what the window was settled to before. The jobs that had a
// share in it have to be looked at again.
func (s *settler) clear() error {
	err := s.tx.Each(func(rows *sql.Rows) error {
		var job string
		err := rows.Scan(&job)
		s.jobs[job] = true
		return err
	}, "SELECT DISTINCT job FROM ledger_entries WHERE grp = ? AND at >= ?", s.group, s.from)
	if err != nil {
		return err
	}
	gone, err := s.tx.Exec("DELETE FROM ledger_entries WHERE grp = ? AND at >= ?", s.group, s.from)
	if err != nil {
		return err
	}
	s.entries = -gone
	for _, query := range []string{
		"DELETE FROM ledger_findings WHERE grp = ? AND at >= ?",
		"DELETE FROM ledger_quiet WHERE grp = ? AND at > ?",
	} {
		if _, err := s.tx.Exec(query, s.group, s.from); err != nil {
			return err
		}
	}
	if s.from == math.MinInt64 {
		return nil
	}
	return s.tx.Each(func(rows *sql.Rows) error {
		var at int64
		err := rows.Scan(&at)
		s.warned[cost.DayNumber(micros(at))] = true
		return err
	}, "SELECT at FROM ledger_findings WHERE grp = ? AND at >= ? AND rule LIKE 'audit/clock-%'",
		s.group, dayStart(micros(s.from)))
}

// pages settles the records of the window in pages that end at a quiet point. While one
// is written the next is read and settled.
func (s *settler) pages() error {
	s.since, s.key = s.from, []byte{}
	var records []cost.Record
	var begin time.Time // of the page
	var ahead *page
	for size := s.page; ; {
		more, err := s.read(&records, size)
		if err != nil {
			return err
		}
		points := cost.QuietPoints(records, s.strands)
		if more && (len(points) == 0 || !points[len(points)-1].After(begin)) {
			size *= 2 // nothing can be parted yet
			continue
		}
		var end time.Time
		if more {
			end = points[len(points)-1]
			begin = end
		}
		next := settlePage(slices.Clone(records), points, end, s.frame)
		if err := s.write(ahead); err != nil {
			return err
		}
		if !more {
			return s.write(next)
		}
		ahead = next
		rest := records[:0]
		for _, r := range records {
			if !r.Bounds().From.Before(end) {
				rest = append(rest, r)
			}
		}
		clear(records[len(rest):])
		records, size = rest, len(rest)+s.page
	}
}

// page is some records that are being settled.
type page struct {
	points  []time.Time
	end     time.Time     // only what comes before is of this page; zero for all
	done    chan struct{} // closed when it is settled
	settled cost.Settled
}

func (p *page) has(t time.Time) bool { return p.end.IsZero() || t.Before(p.end) }

// settlePage settles records on its own.
func settlePage(records []cost.Record, points []time.Time, end time.Time, frame cost.Frame) *page {
	p := &page{points: points, end: end, done: make(chan struct{})}
	go func() {
		defer close(p.done)
		p.settled = cost.SettleIn(records, frame)
		p.settled.Entries = slices.DeleteFunc(p.settled.Entries, func(e cost.Entry) bool {
			return !p.has(e.Start.Add(-time.Duration(e.Shifted)))
		})
		slices.SortStableFunc(p.settled.Entries, func(a, b cost.Entry) int {
			return cmp.Compare(deviceTime(&a), deviceTime(&b))
		})
	}()
	return p
}

// read fills the records up to a number, and reports whether there are more.
// The page ends between two moments, so that all that begins at one is in it.
func (s *settler) read(records *[]cost.Record, size int) (more bool, err error) {
	limit := size - len(*records)
	n := 0
	err = s.tx.Each(func(rows *sql.Rows) error {
		var body []byte
		if err := rows.Scan(&s.since, &s.key, &body); err != nil {
			return err
		}
		r, err := cost.UnpackRecord(body)
		if err != nil {
			return fmt.Errorf("read record: %w", err)
		}
		*records = append(*records, r)
		n++
		return nil
	}, `SELECT since, key, body FROM ledger_records WHERE grp = ? AND (since, key) > (?, ?)
		AND (kind = 1 OR stands = 1) ORDER BY since, key LIMIT ?`, s.group, s.since, s.key, limit)
	return n == limit, err
}

// write keeps what a page came to, when it is settled; nil is no page.
func (s *settler) write(p *page) error {
	if p == nil {
		return nil
	}
	<-p.done
	for i := range p.settled.Entries {
		e := &p.settled.Entries[i]
		if s.cut != nil {
			if err := s.cut.add(e); err != nil {
				return err
			}
		}
		if err := s.entry.add(entryValues(s.group, e)...); err != nil {
			return err
		}
		s.jobs[e.Job] = true
		s.entries++
	}
	for _, at := range p.points {
		if p.has(at) || at.Equal(p.end) {
			if _, err := s.quiet.ExecContext(s.tx.Context(), s.group, at.UnixMicro()); err != nil {
				return err
			}
		}
	}
	return s.remarks(p.settled.Remarks, p.has)
}
