package board_test

import (
	"bufio"
	"context"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/works"
)

// listen reads the events after a number, as lines, until the test ends.
func listen(t *testing.T, server *httptest.Server, path, last string) <-chan string {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	t.Cleanup(cancel)
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, server.URL+path, nil)
	require.NoError(t, err)
	if last != "" {
		r.Header.Set("Last-Event-ID", last)
	}
	got, err := server.Client().Do(r)
	require.NoError(t, err)
	t.Cleanup(func() { _ = got.Body.Close() })
	require.Equal(t, http.StatusOK, got.StatusCode)
	require.Equal(t, "text/event-stream", got.Header.Get("Content-Type"))
	lines := make(chan string, 1000)
	go func() {
		defer close(lines)
		for s := bufio.NewScanner(got.Body); s.Scan(); {
			lines <- s.Text()
		}
	}()
	return lines
}

// find waits for a line that begins in some way.
func find(t *testing.T, lines <-chan string, begin string) string {
	t.Helper()
	for line := range lines {
		if strings.HasPrefix(line, begin) {
			return line
		}
	}
	require.Fail(t, "the events ended before "+begin)
	return ""
}

func TestEvents(t *testing.T) {
	h := open(t, true)
	server := httptest.NewServer(h.handler)
	t.Cleanup(server.Close) // after the listeners have gone, for it waits for them
	h.submit("tide-tables.xjdf", demo(t, "tide-tables.xjdf"))

	all := listen(t, server, "/events?after=0", "")
	require.Equal(t, "id: 1", find(t, all, "id:"))
	require.Contains(t, find(t, all, "data:"), `"kind":"ticket"`)

	fresh := listen(t, server, "/events", "") // from now on
	find(t, fresh, "retry:")
	write(h, "anna", func(tx *works.Tx) (*works.Ticket, error) { return tx.SetPriority(1, 90) })
	last := find(t, fresh, "id:")
	require.NotEqual(t, "id: 1", last)

	back := listen(t, server, "/events?after=0", "1") // what the browser says goes first
	require.Equal(t, "id: 2", find(t, back, "id:"))

	anew := listen(t, server, "/events?after=9999", "") // of another life of the store
	require.Equal(t, "event: reset", find(t, anew, "event:"))

	require.Equal(t, http.StatusBadRequest, h.get("/events?after=many").Code)
}

// TestEventsGone follows from before events that retention has taken out: it is
// told once to look at everything anew, and then of what comes.
func TestEventsGone(t *testing.T) {
	h := open(t, true)
	server := httptest.NewServer(h.handler)
	t.Cleanup(server.Close) // after the listeners have gone, for it waits for them
	h.submit("tide-tables.xjdf", demo(t, "tide-tables.xjdf"))
	h.at("2026-06-01 10:00")
	pruned, err := h.store.Prune(t.Context(), works.Retention{Events: time.Hour})
	require.NoError(t, err)
	require.Positive(t, pruned.Events)
	lines := listen(t, server, "/events?after=1", "")
	require.Equal(t, "event: reset", find(t, lines, "event:"))
	write(h, "anna", func(tx *works.Tx) (*works.Ticket, error) { return tx.SetPriority(1, 90) })
	require.Equal(t, "event: change", find(t, lines, "event:"))
}
