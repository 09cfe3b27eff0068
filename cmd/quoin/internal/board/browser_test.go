package board_test

import (
	"bytes"
	"context"
	"net/http"
	"net/http/httptest"
	"os/exec"
	"regexp"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/works"
)

// TestScript runs the script of the pages in a browser: a job changes after the page
// has been sent, and the page says so without being loaded again.
func TestScript(t *testing.T) {
	browser := chromium(t)
	h := open(t, true)
	k := h.seed()["SPW-1053"]
	path := "/tickets/" + id(k)
	script := regexp.MustCompile(`/static/[0-9a-f]+/board.js`).FindString(h.get(path).Body.String())
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch r.URL.Path {
		case path: // a picture that takes its time, for the browser writes the page down once all is loaded
			got := httptest.NewRecorder()
			h.handler.ServeHTTP(got, r)
			page := bytes.Replace(got.Body.Bytes(), []byte("</footer>"), []byte(`<img src="/slow" alt=""></footer>`), 1)
			if _, err := w.Write(page); err != nil {
				t.Error(err)
			}
		case "/slow":
			err := h.store.Write(r.Context(), "anna", func(tx *works.Tx) error {
				_, err := tx.SetEntry(k.ID, works.EntryHeld, "waits for the pictures of the regatta")
				return err
			})
			if err != nil {
				t.Error(err)
			}
			time.Sleep(5 * time.Second)
		case script: // which follows the events once the page is loaded: too late for this browser
			h.handler.ServeHTTP(w, r)
			if _, err := w.Write([]byte("\ndispatchEvent(new Event('pageshow'));\n")); err != nil {
				t.Error(err)
			}
		default:
			h.handler.ServeHTTP(w, r)
		}
	}))
	t.Cleanup(server.Close)
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, browser, "--headless", "--no-sandbox", "--disable-gpu", "--user-data-dir="+t.TempDir(),
		"--dump-dom", server.URL+path)
	cmd.WaitDelay = 5 * time.Second
	out, err := cmd.Output()
	require.NoError(t, err)
	require.Contains(t, string(out), "waits for the pictures of the regatta")
	require.Contains(t, string(out), "Brought up to date: job now planned.")
}
