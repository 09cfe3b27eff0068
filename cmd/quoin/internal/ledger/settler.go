package ledger

import (
	"database/sql"
	"encoding/json"
	"fmt"
	"math"
	"time"

	"quoin/cmd/quoin/internal/database"
	"quoin/convert/cost"
)

// settler settles one device, page by page.
type settler struct {
	tx      *database.Tx
	group   int64
	page    int
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
	if err := s.pages(); err != nil {
		return err
	}
	if err := s.entry.flush(); err != nil {
		return err
	}
	_, err = s.tx.Exec(`UPDATE ledger_groups SET dirty = ?, uncut = CASE WHEN uncut < ? THEN uncut ELSE ? END,
		entries = entries + ? WHERE id = ?`, int64(clean), s.from, s.from, s.entries, s.group)
	if err != nil {
		return err
	}
	return noteJobs(s.tx, sortedKeys(s.jobs))
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
	s.strands = map[string]cost.Bounds{}
	return s.tx.Each(func(rows *sql.Rows) error {
		var name string
		var since, till, edge int64
		err := rows.Scan(&name, &since, &till, &edge)
		s.strands[name] = cost.Bounds{From: micros(since), To: micros(till), Edge: micros(edge)}
		return err
	}, `SELECT strand, MIN(since), MAX(till), MAX(edge) FROM ledger_records
		WHERE grp = ? AND since >= ? AND strand <> '' GROUP BY strand`, s.group, s.from)
}

// micros is a moment of the bounds of a record, of which 1970 is none too early.
func micros(n int64) time.Time { return time.UnixMicro(n).UTC() }

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

// pages settles the records of the window in pages that end at a quiet point.
func (s *settler) pages() error {
	s.since, s.key = s.from, []byte{}
	var records []cost.Record
	var begin time.Time // of the page
	for size := s.page; ; {
		more, err := s.read(&records, size)
		if err != nil {
			return err
		}
		points := cost.QuietPoints(records, s.strands)
		if !more {
			return s.write(records, points, time.Time{})
		}
		if len(points) == 0 || !points[len(points)-1].After(begin) {
			size *= 2 // nothing can be parted yet
			continue
		}
		end := points[len(points)-1]
		begin = end
		if err := s.write(records, points, end); err != nil {
			return err
		}
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
		var r cost.Record
		if err := json.Unmarshal(body, &r); err != nil {
			return fmt.Errorf("read record: %w", err)
		}
		*records = append(*records, r)
		n++
		return nil
	}, `SELECT since, key, body FROM ledger_records WHERE grp = ? AND (since > ? OR since = ? AND key > ?)
		AND (kind = 1 OR stands = 1) ORDER BY since, key LIMIT ?`, s.group, s.since, s.since, s.key, limit)
	return n == limit, err
}

// write settles records, and keeps what comes before the end; all, where the end
// is zero.
func (s *settler) write(records []cost.Record, points []time.Time, end time.Time) error {
	within := func(t time.Time) bool { return end.IsZero() || t.Before(end) }
	settled := cost.SettleIn(records, s.frame)
	for i := range settled.Entries {
		e := &settled.Entries[i]
		if !within(e.Start.Add(-time.Duration(e.Shifted))) {
			continue
		}
		if err := s.entry.add(entryValues(s.group, e)...); err != nil {
			return err
		}
		s.jobs[e.Job] = true
		s.entries++
	}
	for _, p := range points {
		if within(p) || p.Equal(end) {
			if _, err := s.quiet.ExecContext(s.tx.Context(), s.group, p.UnixMicro()); err != nil {
				return err
			}
		}
	}
	return s.remarks(settled.Remarks, within)
}
