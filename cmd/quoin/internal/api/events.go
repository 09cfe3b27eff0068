package api

import (
	"context"
	"encoding/json"
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
	eventBatch = 200
)

// reset tells who follows that events were missed: look at everything anew.
const reset = "event: reset\ndata: {}\n\n"

// followEvents gives the events after a number and goes on with what comes. Every event
// has its number as id, so that who comes again with Last-Event-ID misses none and gets
// none twice.
func followEvents(a *api, c *call) (*reply, error) {
	last, err := a.lastEvent(c.r.Context())
	if err != nil {
		return nil, err
	}
	seq, anew := last, false
	said := c.r.Header.Get("Last-Event-ID")
	if said == "" {
		said = c.text("after")
	}
	if said != "" {
		n, err := strconv.ParseInt(said, 10, 64)
		if err != nil || n < 0 {
			return nil, &problem{Status: http.StatusBadRequest, Code: "parameter-wrong",
				Where: "header Last-Event-ID",
				Detail: fmt.Sprintf("the number of the last event is %q",
					said), Do: "send the id of an event, or none"}
		}
		// A number from another life of the store, as before a backup was restored.
		seq, anew = min(n, last), n > last
	}
	return &reply{stream: func(c *call) error {
		a.follow(c, seq, anew)
		return nil // who has gone away comes again
	}}, nil
}

func (a *api) lastEvent(ctx context.Context) (int64, error) {
	counts, err := works.Ask(ctx, a.parts.Store, (*works.Tx).Counts)
	if err != nil {
		return 0, err
	}
	return counts.Events, nil
}

func (a *api) follow(c *call, seq int64, anew bool) {
	c.w.Header().Set("Content-Type", "text/event-stream")
	c.w.Header().Set("X-Accel-Buffering", "no")
	begin := "retry: 3000\n\n"
	if anew {
		begin += reset
	}
	if _, err := io.WriteString(c.w, begin); err != nil {
		return
	}
	ctx, cancel := context.WithTimeout(c.r.Context(), streamLife)
	defer cancel()
	ending := a.ended(c.r)
	out := http.NewResponseController(c.w)
	beat, look := time.NewTicker(heartbeat), time.NewTicker(lookAround)
	defer beat.Stop()
	defer look.Stop()
	for {
		changed := a.parts.Store.Changed() // before asking, so that nothing falls between
		// Where the connection knows of no deadlines there are none to be moved.
		_ = out.SetWriteDeadline(time.Now().Add(2 * heartbeat))
		last, err := a.sendEvents(ctx, c.w, seq, c.all("kind"))
		if err != nil || out.Flush() != nil {
			return // it has gone away, or the store can not be reached: it will come again
		}
		if last != seq {
			seq = last
			select {
			case <-ending:
				return
			default:
				continue
			}
		}
		select {
		case <-ctx.Done():
			return
		case <-ending:
			return
		case <-changed:
		case <-look.C:
		case <-beat.C:
			if _, err := io.WriteString(c.w, ": here\n\n"); err != nil {
				return
			}
		}
	}
}

// sendEvents writes a batch of events, and gives the number of the last.
func (a *api) sendEvents(ctx context.Context, w io.Writer, seq int64, kinds []string) (int64, error) {
	events, gap, err := a.parts.Store.Since(ctx, seq, eventBatch)
	if err != nil {
		return seq, err
	}
	if gap {
		if _, err := io.WriteString(w, reset); err != nil {
			return seq, err
		}
		if len(events) == 0 { // all of them are gone
			return a.lastEvent(ctx)
		}
	}
	told := seq
	for _, e := range events {
		seq = e.Seq
		if len(kinds) > 0 && !slices.Contains(kinds, e.Kind) {
			continue
		}
		data, err := json.Marshal(e)
		if err != nil {
			return seq, err
		}
		if _, err := fmt.Fprintf(w, "id: %d\nevent: change\ndata: %s\n\n", e.Seq, data); err != nil {
			return seq, err
		}
		told = e.Seq
	}
	if told != seq { // an id without data moves on where a client resumes, and tells nothing
		if _, err := fmt.Fprintf(w, "id: %d\n\n", seq); err != nil {
			return seq, err
		}
	}
	return seq, nil
}

// ended is closed when the server of a request is told to end: a stream that never ends
// by itself would hold it up. Nil, which never is, where there is no server.
func (a *api) ended(r *http.Request) <-chan struct{} {
	server, ok := r.Context().Value(http.ServerContextKey).(*http.Server)
	if !ok {
		return nil
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	if ch, known := a.ending[server]; known {
		return ch
	}
	ch := make(chan struct{})
	a.ending[server] = ch
	server.RegisterOnShutdown(func() { close(ch) })
	return ch
}
