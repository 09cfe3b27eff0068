//go:build !checker

package main

import (
	"bytes"
	"context"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

const saltmarshFile = "../../testdata/plant/saltmarsh.yaml"

// shared is a buffer that a command writes while a test reads.
type shared struct {
	lock sync.Mutex
	text bytes.Buffer
}

func (s *shared) Write(p []byte) (int, error) {
	s.lock.Lock()
	defer s.lock.Unlock()
	return s.text.Write(p)
}

func (s *shared) String() string {
	s.lock.Lock()
	defer s.lock.Unlock()
	return s.text.String()
}

func rehearse(ctx context.Context, out *shared, args ...string) error {
	cmd := newRehearse(streams{nil, out, out})
	cmd.SilenceErrors, cmd.SilenceUsage = true, true
	cmd.SetArgs(args)
	return cmd.ExecuteContext(ctx)
}

func TestRehearseMonth(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "month")
	out := &shared{}
	ctx := context.Background()
	require.NoError(t, rehearse(ctx, out, "--plant", saltmarshFile, "--folder", dir, "--jobs", "6", "--days", "7"))
	require.Regexp(t, `^6 orders in .*month, made in \d+ steps by 2026-03-\d\d, \d of them late; `+
		`the truth is in truth.json\n$`, out.String())
	plans, err := filepath.Glob(filepath.Join(dir, "plans", "*", planFile))
	require.NoError(t, err)
	require.Len(t, plans, 6)
	require.FileExists(t, filepath.Join(dir, "truth.json"))
	require.ErrorContains(t, rehearse(ctx, out, "--plant", saltmarshFile, "--folder", dir), "is not empty")
}

func TestRehearseOnline(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "truth")
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	out, done := &shared{}, make(chan error, 1)
	go func() {
		done <- rehearse(ctx, out, "--plant", saltmarshFile, "--listen", "127.0.0.1:0",
			"--to", "http://127.0.0.1:9/jmf", "--folder", dir)
	}()
	address := regexp.MustCompile(`http://127\.0\.0\.1:\d+`)
	require.Eventually(t, func() bool { return address.MatchString(out.String()) }, 10*time.Second, time.Millisecond)
	r, err := http.Get(address.FindString(out.String()) + "/")
	require.NoError(t, err)
	page, err := io.ReadAll(r.Body)
	require.NoError(t, err)
	require.NoError(t, r.Body.Close())
	require.Contains(t, string(page), "They are not real ones")
	require.Contains(t, string(page), "/device/offset-b2  0 in the queue")
	stop()
	require.NoError(t, <-done)
	truth, err := os.ReadFile(filepath.Join(dir, "truth.json"))
	require.NoError(t, err)
	require.Contains(t, string(truth), `"plant": "Saltmarsh Print Works"`)
}

func TestRehearseSaysWhatIsMissing(t *testing.T) {
	for _, c := range []struct {
		want string
		args []string
	}{
		{"--folder is missing; name a new folder to write to, or --listen and --to to play online", nil},
		{"--to is missing; give the URL that machines report to, such as http://localhost:8080/jmf",
			[]string{"--listen", "localhost:0"}},
		{"--listen is missing; give the address at which the machines answer, such as localhost:7070",
			[]string{"--to", "http://localhost:1"}},
		{`--from is "today"; want a day such as 2026-03-02`, []string{"--folder", "x", "--from", "today"}},
		{`--listen is "0.0.0.0:7070", which others can reach, and rehearsed machines ask nobody who they are; ` +
			`listen on localhost, or add --unprotected`, []string{"--listen", "0.0.0.0:7070", "--to", "http://localhost:1"}},
		{`--hot is "folder-1"; want a machine and its folder, as in folder-1=FOLDER`,
			[]string{"--listen", "localhost:0", "--to", "http://localhost:1", "--hot", "folder-1"}},
		{`speed is 0; want more than 0`, []string{"--listen", "localhost:0", "--to", "http://localhost:1", "--speed", "0"}},
		{`address to send to is "localhost"; want a URL such as http://localhost:8080/jmf`,
			[]string{"--listen", "localhost:0", "--to", "localhost"}},
	} {
		err := rehearse(context.Background(), &shared{}, append([]string{"--plant", saltmarshFile}, c.args...)...)
		require.EqualError(t, err, c.want)
	}
}
