package feed

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"slices"
	"strconv"
	"time"

	"quoin/cmd/quoin/internal/works"
)

const (
	heartbeat  = 15 * time.Second // so that who listens, and what lies between, knows that we are there
	lookAround = 2 * time.Second  // for events of other instances
	streamLife = 30 * time.Minute // then who listens comes again, and is asked again who it is
	batch      = 200              // events at once
)

// reset tells who follows that events were missed: look at everything anew.
const reset = "event: reset\ndata: {}\n\n"

// ErrNumber is what somebody says to have seen last and that is no number of an event.
var ErrNumber = errors.New("not the number of an event")

// Feed is the events of a store.
type Feed struct {
	Store  *works.Store
	Ending <-chan struct{} // closed when streams are to be let go; nil is never
}

// Start is where a stream begins.
type Start struct {
	after int64
	anew  bool // events were missed
}

// Start finds where a stream begins for who said in the header Last-Event-ID, or in the
// parameter after, which event he has seen last; without either it begins now. It is
// ErrNumber when that is no number. A number that is not reached yet is from another
// life of the store, as before a backup was restored: the stream begins with a reset.
func (f Feed) Start(r *http.Request) (Start, error) {
	last, err := works.Ask(r.Context(), f.Store, (*works.Tx).LastEvent)
	if err != nil {
		return Start{}, err
	}
	said := r.Header.Get("Last-Event-ID")
	if said == "" {
		said = r.URL.Query().Get("after")
	}
	if said == "" {
		return Start{after: last}, nil
	}
	n, err := strconv.ParseInt(said, 10, 64)
	if err != nil || n < 0 {
		return Start{}, fmt.Errorf("%q is %w", said, ErrNumber)
	}
	return Start{after: min(n, last), anew: n > last}, nil
}

// Follow sends the events of some kinds after a start, all kinds when none is named, and
// goes on with what comes, until who listens goes away, the service ends, or it is time
// to come again. Each event has its number as id, so that who comes again with
// Last-Event-ID misses none and gets none twice. Events that are gone already are told
// as reset.
func (f Feed) Follow(w http.ResponseWriter, r *http.Request, from Start, kinds ...string) {
	w.Header().Set("Content-Type", "text/event-stream")
	w.Header().Set("X-Accel-Buffering", "no")
	begin := "retry: 3000\n\n"
	if from.anew {
		begin += reset
	}
	if _, err := io.WriteString(w, begin); err != nil {
		return
	}
	ctx, cancel := context.WithTimeout(r.Context(), streamLife)
	defer cancel()
	s := &stream{Feed: f, w: w, out: http.NewResponseController(w), seq: from.after, kinds: kinds}
	beat, look := time.NewTicker(heartbeat), time.NewTicker(lookAround)
	defer beat.Stop()
	defer look.Stop()
	for {
		changed := f.Store.Changed() // before asking, so that nothing falls between
		before := s.seq
		if s.send(ctx) != nil {
			return // it has gone away, or the store can not be reached: it will come again
		}
		if s.seq != before { // there may be more
			select {
			case <-ctx.Done():
				return
			case <-f.Ending:
				return
			default:
				continue
			}
		}
		select {
		case <-ctx.Done():
			return
		case <-f.Ending:
			return
		case <-changed:
		case <-look.C:
		case <-beat.C:
			if _, err := io.WriteString(w, ": here\n\n"); err != nil {
				return
			}
		}
	}
}

// stream is one who listens.
type stream struct {
	Feed
	w     http.ResponseWriter
	out   *http.ResponseController
	seq   int64 // of the last event that was looked at
	kinds []string
}

// send writes a batch of events.
func (s *stream) send(ctx context.Context) error {
	// Where the connection knows of no deadlines there are none to be moved.
	_ = s.out.SetWriteDeadline(time.Now().Add(2 * heartbeat))
	events, gap, err := s.Store.Since(ctx, s.seq, batch)
	if err != nil {
		return err
	}
	if gap {
		if _, err := io.WriteString(s.w, reset); err != nil {
			return err
		}
		if len(events) == 0 { // all of them are gone
			if s.seq, err = works.Ask(ctx, s.Store, (*works.Tx).LastEvent); err != nil {
				return err
			}
		}
	}
	told := s.seq
	for _, e := range events {
		s.seq = e.Seq
		if len(s.kinds) > 0 && !slices.Contains(s.kinds, e.Kind) {
			continue
		}
		data, err := json.Marshal(e)
		if err != nil {
			return err
		}
		if _, err := fmt.Fprintf(s.w, "id: %d\nevent: change\ndata: %s\n\n", e.Seq, data); err != nil {
			return err
		}
		told = e.Seq
	}
	if told != s.seq { // an id without data moves on where a client resumes, and tells nothing
		if _, err := fmt.Fprintf(s.w, "id: %d\n\n", s.seq); err != nil {
			return err
		}
	}
	return s.out.Flush()
}
