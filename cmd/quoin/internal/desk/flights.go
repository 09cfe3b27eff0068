package desk

import (
	"context"
	"sync"

	"quoin/cmd/quoin/internal/works"
)

// flights are checks that are under way, and the last that ended well: a ticket is
// checked for its sender, who waits, and by its chore, which may come a little later.
type flights struct {
	mu   sync.Mutex
	all  map[flightKey]*flight
	last []flightKey // that ended, oldest first
}

type flightKey struct{ ticket, version int64 }

type flight struct {
	done   chan struct{}
	result works.Checked
	err    error
}

// mostLanded is how many checks are remembered after they ended.
const mostLanded = 64

func (f *flights) join(ctx context.Context, key flightKey, check func() (works.Checked, error)) (works.Checked, error) {
	f.mu.Lock()
	one := f.all[key]
	if one == nil {
		one = &flight{done: make(chan struct{})}
		if f.all == nil {
			f.all = map[flightKey]*flight{}
		}
		f.all[key] = one
		f.mu.Unlock()
		f.fly(key, one, check)
		return one.result, one.err
	}
	f.mu.Unlock()
	select {
	case <-one.done:
	case <-ctx.Done():
		return works.Checked{}, ctx.Err()
	}
	if one.err != nil { // whoever checked broke off; that is no word on the ticket
		return check()
	}
	return one.result, nil
}

// fly runs a check, and forgets it when it goes wrong or is one of many.
func (f *flights) fly(key flightKey, one *flight, check func() (works.Checked, error)) {
	landed := false
	defer func() {
		f.mu.Lock()
		defer f.mu.Unlock()
		if !landed { // it panicked
			one.err = context.Canceled
		}
		if one.err != nil {
			delete(f.all, key)
		} else {
			f.last = append(f.last, key)
			if len(f.last) > mostLanded {
				delete(f.all, f.last[0])
				f.last = f.last[1:]
			}
		}
		close(one.done)
	}()
	one.result, one.err = check()
	landed = true
}
