package board_test

import (
	"context"
	"flag"
	"fmt"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "make the pictures of the pages anew")

// screens are the pictures of the pages. What is long is cut where it would no
// longer be read in a picture.
var screens = []struct {
	name          string
	path          string
	width, height int
	dark          bool
}{
	{"jobs", "/", 1280, 900, false},
	{"jobs-phone", "/", 360, 1500, false},
	{"devices", "/devices", 1280, 1250, false},
	{"devices-phone", "/devices", 320, 1500, false},
	{"schedule", "/schedule?days=1", 1280, 1300, false},
	{"ticket", "/tickets/1", 1280, 2900, false},
	{"ticket-phone", "/tickets/1", 360, 1600, false},
	{"ticket-refused", "/tickets/3", 1280, 1000, false},
	{"action", "/tickets/2/abort", 1280, 700, false},
	{"upload", "/upload", 1280, 520, false},
	{"reports", "/reports?by=device", 1280, 1300, false},
	{"alerts", "/alerts", 1280, 900, false},
	{"deliveries", "/deliveries", 1280, 800, false},
	{"messages", "/messages", 1280, 560, false},
	{"message", "/messages/1", 1280, 800, false},
	{"about", "/about", 1280, 1100, false},
	{"jobs-dark", "/", 1280, 900, true},
}

// chromium is where the browser is. Where there is none the test is skipped, but in
// CI it fails.
func chromium(t *testing.T) string {
	t.Helper()
	browser, err := exec.LookPath("chromium")
	if err != nil && os.Getenv("CI") != "" {
		t.Fatal("chromium is not installed; the pages are not seen without it")
	}
	if err != nil {
		t.Skip("chromium is not installed, so that the pages are not seen: apt-get install chromium")
	}
	return browser
}

// TestScreens shows the pages in a browser. It makes sure that they can be drawn:
// each with -update, which keeps the pictures, else every fourth, for a browser is
// slow.
func TestScreens(t *testing.T) {
	browser := chromium(t)
	h := open(t, true)
	h.seed()
	server := httptest.NewServer(h.handler)
	defer server.Close()
	require.Greater(t, len(screens), 15)
	for i, s := range screens {
		if i%4 != 0 && !*update {
			continue
		}
		t.Run(s.name, func(t *testing.T) {
			picture := filepath.Join(t.TempDir(), "page.png")
			args := []string{
				"--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--user-data-dir=" + t.TempDir(),
				fmt.Sprintf("--window-size=%d,%d", s.width, s.height), "--screenshot=" + picture, "--timeout=4000",
			}
			if s.dark {
				args = append(args, "--blink-settings=preferredColorScheme=0")
			}
			ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
			defer cancel()
			cmd := exec.CommandContext(ctx, browser, append(args, server.URL+s.path)...)
			cmd.WaitDelay = 5 * time.Second
			out, err := cmd.CombinedOutput()
			require.NoError(t, err, string(out))
			png, err := os.ReadFile(picture)
			require.NoError(t, err)
			require.Greater(t, len(png), 8<<10, "the picture is empty")
			if *update {
				require.Empty(t, os.Getenv("CI"), "pictures are not made anew in CI")
				require.NoError(t, os.WriteFile(filepath.Join("testdata/screens", s.name+".png"), png, 0o644))
			}
		})
	}
}
