package main

import (
	"fmt"
	"os"
	"strings"
	"time"

	"quoin/cmd/quoin/internal/tickets"
)

// settings say what is measured, and how large.
type settings struct {
	quoin, standard string
	rounds          int
	small, many     int // size of a small ticket in bytes, and how many
	large           int // size of a large ticket in bytes
	findings        int // in a large ticket
}

// full is what the bars are set for.
var full = settings{rounds: 5, small: 2 << 10, many: 10_000, large: 15 << 20, findings: 60_000}

// bar is one line of the table.
type bar struct {
	what, ours, reference, compared, want string
	reached                               bool
}

// measure measures all bars.
func measure(s settings) ([]bar, error) {
	scratch, err := os.MkdirTemp("", "bench")
	if err != nil {
		return nil, fmt.Errorf("make folder for tickets: %w", err)
	}
	defer os.RemoveAll(scratch)
	generations, err := newGenerations(s, scratch)
	if err != nil {
		return nil, err
	}
	var all []bar
	for _, one := range []func(settings, generation) ([]bar, error){
		smallTicket, manyTickets, largeTicket, manyFindings,
	} {
		for _, g := range generations {
			bars, err := one(s, g)
			if err != nil {
				return nil, err
			}
			all = append(all, bars...)
		}
	}
	return all, nil
}

func (s settings) validate(want int, path string) command {
	return command{[]string{s.quoin, "validate", "--no-house", path}, want}
}

func (g generation) xmllint(want int, args ...string) command {
	return command{append([]string{"xmllint", "--noout", "--nonet", "--schema", g.schema}, args...), want}
}

// invalid is how xmllint ends when a file does not follow the schema.
const invalid = 3

// smallTicket is one ticket as a process, with all that starting takes.
func smallTicket(s settings, g generation) ([]bar, error) {
	want := 10.0
	if g.name == "JDF" {
		want = 50 // its schema takes xmllint longer to read
	}
	path, err := g.file("small."+g.extension(), s.small, 0)
	if err != nil {
		return nil, err
	}
	took, err := best(4*s.rounds, s.validate(0, path), g.xmllint(0, path))
	if err != nil {
		return nil, err
	}
	return []bar{faster("small "+g.name+", whole process", took[0], took[1], want)}, nil
}

// faster is a bar on time. The time of the processors is told beside: where
// other programs are at work it says more.
func faster(what string, ours, reference cost, want float64) bar {
	ratio := float64(reference.wall) / float64(ours.wall)
	return bar{
		what, seconds(ours.wall), seconds(reference.wall),
		fmt.Sprintf("%.2f times faster (processors %.2f)", ratio, float64(reference.cpu)/float64(ours.cpu)),
		fmt.Sprintf("%g times", want), ratio >= want,
	}
}

// manyTickets are checked in one process, on all cores.
func manyTickets(s settings, g generation) ([]bar, error) {
	dir, paths, err := g.many(s.many, s.small)
	if err != nil {
		return nil, err
	}
	took, err := best(max(1, s.rounds/2), s.validate(0, dir), g.xmllint(0, paths...))
	if err != nil {
		return nil, err
	}
	const want = 2
	ratio := float64(took[1].wall) / float64(took[0].wall)
	rate := func(c cost) string { return fmt.Sprintf("%.0f files/s", float64(s.many)/c.wall.Seconds()) }
	return []bar{{
		fmt.Sprintf("%d small %s, all cores", s.many, g.name), rate(took[0]), rate(took[1]),
		fmt.Sprintf("%.2f times as many (processors %.2f)", ratio, float64(took[1].cpu)/float64(took[0].cpu)),
		fmt.Sprintf("%d times", want), ratio >= want,
	}}, nil
}

// largeTicket goes through all stages; xmllint reads it as a stream.
func largeTicket(s settings, g generation) ([]bar, error) {
	path, err := g.file("large."+g.extension(), s.large, 0)
	if err != nil {
		return nil, err
	}
	took, err := best(s.rounds, s.validate(0, path), g.xmllint(0, "--stream", path), g.xmllint(0, path))
	if err != nil {
		return nil, err
	}
	what := fmt.Sprintf("%s of %.3g MB, all stages", g.name, megabytes(int64(s.large)))
	bars := []bar{faster(what, took[0], took[1], 1)}
	if took[0].peak > 0 {
		const most = 6
		ratio := float64(took[0].peak) / float64(s.large)
		bars = append(bars, bar{
			what + ", memory", fmt.Sprintf("%.0f MB", megabytes(took[0].peak)),
			fmt.Sprintf("%.0f MB (tree %.0f)", megabytes(took[1].peak), megabytes(took[2].peak)),
			fmt.Sprintf("%.1f times the file", ratio), fmt.Sprintf("under %d", most), ratio < most,
		})
	}
	return bars, nil
}

// manyFindings asks whether time grows with the findings, or with their square:
// twice the ticket with twice the findings takes twice the time. xmllint has an
// eighth of both, since it would take minutes.
func manyFindings(s settings, g generation) ([]bar, error) {
	const part = 8
	sizes := []int{1, 2, part, 2 * part}
	var commands []command
	for i, share := range sizes {
		name := fmt.Sprintf("faulty%d.%s", share, g.extension())
		path, err := g.file(name, s.large/share, tickets.Faults(s.findings/share))
		if err != nil {
			return nil, err
		}
		if i < 2 {
			commands = append(commands, s.validate(1, path))
		} else {
			commands = append(commands, g.xmllint(invalid, path))
		}
	}
	took, err := best(max(1, s.rounds/2), commands...)
	if err != nil {
		return nil, err
	}
	shown := strings.Count(took[0].said, " error schema/unknown-attribute:")
	if total := fmt.Sprintf("%d errors", s.findings); !strings.Contains(took[0].said, total) || shown > 1000 {
		return nil, fmt.Errorf("%d findings are shown, and no count of %s", shown, total)
	}
	const most = 2.5
	growth := func(whole, half cost) float64 { return float64(whole.wall) / float64(half.wall) }
	ours := growth(took[0], took[1])
	return []bar{{
		fmt.Sprintf("%s with %d findings, to half of it", g.name, s.findings),
		fmt.Sprintf("%s to %s", seconds(took[0].wall), seconds(took[1].wall)),
		fmt.Sprintf("%s to %s, an eighth", seconds(took[2].wall), seconds(took[3].wall)),
		fmt.Sprintf("%.1f times the time (processors %.1f); reference %.1f (%.1f)", ours,
			float64(took[0].cpu)/float64(took[1].cpu), growth(took[2], took[3]),
			float64(took[2].cpu)/float64(took[3].cpu)),
		fmt.Sprintf("under %g", most), ours < most,
	}}, nil
}

func seconds(d time.Duration) string {
	if d < time.Second {
		return fmt.Sprintf("%.1f ms", float64(d.Microseconds())/1000)
	}
	return fmt.Sprintf("%.2f s", d.Seconds())
}

func megabytes(n int64) float64 { return float64(n) / (1 << 20) }
