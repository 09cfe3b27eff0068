package board

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"time"

	"quoin/cmd/quoin/internal/works"
)

const (
	heartbeat  = 15 * time.Second // so that who listens, and what lies between, knows that we are there
	lookAround = 2 * time.Second  // for events of other instances
	streamLife = 30 * time.Minute // then the browser comes again, and is asked again who it is
	batch      = 200
)

// followEvents sends the events after a number as server-sent events, and goes on
// with what comes. A browser that lost the connection says by Last-Event-ID where
// it was. Events that are gone already are told as "reset": look at everything anew.
func (b *board) followEvents(w http.ResponseWriter, r *http.Request) error {
	seq, anew, err := b.after(r)
	if err != nil {
		return err
	}
	out := http.NewResponseController(w)
	w.Header().Set("Content-Type", "text/event-stream")
	w.Header().Set("X-Accel-Buffering", "no")
	begin := "retry: 3000\n\n"
	if anew {
		begin += reset
	}
	if _, err := fmt.Fprint(w, begin); err != nil {
		return nil
	}
	ctx, cancel := context.WithTimeout(r.Context(), streamLife)
	defer cancel()
	beat, look := time.NewTicker(heartbeat), time.NewTicker(lookAround)
	defer beat.Stop()
	defer look.Stop()
	for {
		changed := b.Store.Changed() // before asking, so that nothing falls between
		last, err := b.sendEvents(ctx, w, seq)
		if err != nil || out.Flush() != nil {
			return nil // it has gone away, or the store can not be reached: it will come again
		}
		_ = out.SetWriteDeadline(time.Now().Add(2 * heartbeat)) // where the connection knows of none, there is none
		if last != seq {
			seq = last
			continue
		}
		select {
		case <-ctx.Done():
			return nil
		case <-b.Ending:
			return nil
		case <-changed:
		case <-look.C:
		case <-beat.C:
			if _, err := fmt.Fprint(w, ": here\n\n"); err != nil {
				return nil
			}
		}
	}
}

const reset = "event: reset\ndata: {}\n\n"

// after is the number of the event after which to begin: the last there is when
// nothing is said. Anew says that the number is from another life of the store, such
// as before a backup was restored, and everything has to be looked at again.
func (b *board) after(r *http.Request) (seq int64, anew bool, err error) {
	last, err := b.lastEvent(r.Context())
	if err != nil {
		return 0, false, err
	}
	said := r.Header.Get("Last-Event-ID")
	if said == "" {
		said = r.URL.Query().Get("after")
	}
	if said == "" {
		return last, false, nil
	}
	seq, err = strconv.ParseInt(said, 10, 64)
	if err != nil || seq < 0 {
		return 0, false, wrong("after is %q; want the number of an event", said)
	}
	return min(seq, last), seq > last, nil
}

func (b *board) lastEvent(ctx context.Context) (int64, error) {
	counts, err := works.Ask(ctx, b.Store, (*works.Tx).Counts)
	if err != nil {
		return 0, err
	}
	return counts.Events, nil
}

// sendEvents writes a batch of events, and gives the number of the last.
func (b *board) sendEvents(ctx context.Context, w http.ResponseWriter, seq int64) (int64, error) {
	events, gap, err := b.Store.Since(ctx, seq, batch)
	if err != nil {
		return seq, err
	}
	if gap {
		if _, err := fmt.Fprint(w, reset); err != nil {
			return seq, err
		}
		if len(events) == 0 { // all of them are gone
			return b.lastEvent(ctx)
		}
	}
	for _, e := range events {
		data, err := json.Marshal(e)
		if err != nil {
			return seq, err
		}
		if _, err := fmt.Fprintf(w, "id: %d\nevent: change\ndata: %s\n\n", e.Seq, data); err != nil {
			return seq, err
		}
		seq = e.Seq
	}
	return seq, nil
}
