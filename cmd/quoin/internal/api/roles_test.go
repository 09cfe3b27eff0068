package api_test

import (
	"bufio"
	"net/http"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/api"
	"quoin/cmd/quoin/internal/works"
)

// TestRoles asks for every operation as every partner: those with a role that the
// description names get past the guard, and nobody else does.
func TestRoles(t *testing.T) {
	h := open(t)
	hole := regexp.MustCompile(`\{[^}]+\}`)
	eachOperation(t, described(t), func(path, method string, op node) {
		if op["operationId"] == "events" {
			return // it does not end; see TestEvents
		}
		path = strings.TrimPrefix(hole.ReplaceAllString(path, "999"), api.Prefix)
		for _, who := range []string{"reader", "operator", "sender", "device", "admin"} {
			may := slices.ContainsFunc(op["x-roles"].([]any), func(r any) bool { return r == who }) || who == "admin"
			a := h.as(who).ask(strings.ToUpper(method), path, []byte("x"), "Content-Type", "application/json",
				"If-Match", "*")
			require.Equal(t, !may, a.StatusCode == http.StatusForbidden, "%s %s as %s: %s", method, path, who, a.body)
		}
	})
	events := h.as("sender").get("/events")
	require.Equal(t, http.StatusForbidden, events.StatusCode)
}

// follow reads events until it has n of them, and gives their numbers.
func (h *house) follow(n int, path string, last string) (ids []string) {
	h.t.Helper()
	r, err := http.NewRequestWithContext(h.t.Context(), "GET", h.url+api.Prefix+path, nil)
	require.NoError(h.t, err)
	r.Header.Set("Authorization", "Bearer "+h.token)
	if last != "" {
		r.Header.Set("Last-Event-ID", last)
	}
	resp, err := http.DefaultClient.Do(r)
	require.NoError(h.t, err)
	defer resp.Body.Close()
	require.Equal(h.t, "text/event-stream", resp.Header.Get("Content-Type"))
	lines := bufio.NewScanner(resp.Body)
	id := ""
	for len(ids) < n && lines.Scan() {
		if text, ok := strings.CutPrefix(lines.Text(), "id: "); ok {
			id = text
		}
		if strings.HasPrefix(lines.Text(), "data: ") {
			ids = append(ids, id)
		}
	}
	require.Len(h.t, ids, n)
	return ids
}

func TestEvents(t *testing.T) {
	h := open(t)
	const all = 60
	go func() {
		for i := range all {
			_ = h.store.Write(t.Context(), "", func(tx *works.Tx) error { // what is missing fails the test below
				tx.Emit(works.Event{Kind: works.EventDevice, Device: strconv.Itoa(i)})
				if i%3 == 0 {
					tx.Emit(works.Event{Kind: works.EventAlert})
				}
				return nil
			})
		}
	}()
	var ids []string
	last := "0"
	for len(ids) < all { // the connection is lost after every few
		part := h.follow(min(7, all-len(ids)), "/events?kind=device", last)
		ids = append(ids, part...)
		last = part[len(part)-1]
	}
	events, _, err := h.store.Since(t.Context(), 0, 1000)
	require.NoError(t, err)
	var want []string
	for _, e := range events {
		if e.Kind == works.EventDevice {
			want = append(want, strconv.FormatInt(e.Seq, 10))
		}
	}
	require.Len(t, want, all)
	require.Equal(t, want, ids, "each once, in order")
	require.Equal(t, []string{""}, h.follow(1, "/events", "999999"), "a number of another life is told as reset")
	h.ask("GET", "/events", nil, "Last-Event-ID", "x").problem(t, http.StatusBadRequest, "parameter-wrong")
}
