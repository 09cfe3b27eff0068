package main

import (
	"fmt"
	"io"
	"strings"
	"sync"
	"time"
)

// progress shows on a terminal how far a long run is; elsewhere it says nothing.
type progress struct {
	mu    sync.Mutex
	out   io.Writer // nil where nothing is shown
	total int
	last  time.Time
	shown bool
}

// patience is how long a run may take before it is shown how far it is.
const patience = 300 * time.Millisecond

func newProgress(out io.Writer, total int) *progress {
	p := &progress{total: total, last: time.Now()}
	if isTerminal(out) && total > 1 {
		p.out = out
	}
	return p
}

// done is told how many files are finished; it may be called from several
// goroutines.
func (p *progress) done(count int) {
	if p.out == nil {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if time.Since(p.last) < patience {
		return
	}
	p.last, p.shown = time.Now(), true
	const cells = 30
	full := min(cells, cells*count/p.total)
	fmt.Fprintf(p.out, "\r%s%s %d of %d files", strings.Repeat("=", full), strings.Repeat("-", cells-full), count, p.total)
}

// clear takes the line away.
func (p *progress) clear() {
	if p.shown {
		fmt.Fprintf(p.out, "\r%s\r", strings.Repeat(" ", 70))
	}
}
