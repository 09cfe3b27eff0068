//go:build !checker

package main

import (
	"bytes"
	"context"
	"net/http"
	"path/filepath"
	"regexp"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/works"
	"quoin/validate/plant"
)

// heard is a writer that a test may read meanwhile.
type heard struct {
	mu  sync.Mutex
	all bytes.Buffer
}

func (h *heard) Write(p []byte) (int, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.all.Write(p)
}

func (h *heard) text() string {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.all.String()
}

const worksFile = "../../testdata/plant/saltmarsh.yaml"

// The service says on standard error where it listens, and ends when it is told to;
// what it has stored can be backed up and restored.
func TestServe(t *testing.T) {
	dir := t.TempDir()
	store := filepath.Join(dir, "quoin.db")
	var out, log heard
	cmd := newServe(streams{nil, &out, &log})
	cmd.SetArgs([]string{"--plant", worksFile, "--store", store, "--listen", "127.0.0.1:0",
		"--device", "offset-b2=xjmf:http://127.0.0.1:9/jmf", "--log", "json"})
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	ended := make(chan error, 1)
	go func() { ended <- cmd.ExecuteContext(ctx) }()
	ready := regexp.MustCompile(`"msg":"ready","address":"(127\.0\.0\.1:[0-9]+)"`)
	var address []string
	require.Eventually(t, func() bool {
		address = ready.FindStringSubmatch(log.text())
		return address != nil
	}, 20*time.Second, 10*time.Millisecond)
	res, err := http.Get("http://" + address[1] + "/ready")
	require.NoError(t, err)
	require.NoError(t, res.Body.Close())
	require.Equal(t, http.StatusOK, res.StatusCode)

	saved := filepath.Join(dir, "saved.db")
	backup := newBackup(streams{nil, &out, &log})
	backup.SetArgs([]string{saved, "--store", store}) // while it runs
	require.NoError(t, backup.ExecuteContext(ctx))
	restore := newRestore(streams{nil, &out, &log})
	restore.SetArgs([]string{saved, "--store", filepath.Join(dir, "again.db")})
	require.NoError(t, restore.ExecuteContext(ctx))
	again := newRestore(streams{nil, &out, &log})
	again.SetArgs([]string{saved, "--store", filepath.Join(dir, "again.db")})
	again.SilenceUsage, again.SilenceErrors = true, true
	require.Error(t, again.ExecuteContext(ctx), "a store that holds something is not filled")

	cancel()
	select {
	case err := <-ended:
		require.NoError(t, err)
	case <-time.After(30 * time.Second):
		require.Fail(t, "the service does not end")
	}
}

func TestServeMistakes(t *testing.T) {
	for _, test := range []struct {
		want string
		args []string
	}{
		{"--plant", nil},
		{"name the partners", []string{"--plant", worksFile, "--listen", ":0"}},
		{"give both", []string{"--plant", worksFile, "--tls-cert", "x"}},
		{"want ID=DIALECT:ADDRESS", []string{"--plant", worksFile, "--device", "offset-b2=http://x"}},
		{"write offset-b2", []string{"--plant", worksFile, "--device", "offset-b3=jmf:http://x"}},
		{"as in contents=400d", []string{"--plant", worksFile, "--retention", "contents=forever"}},
		{"want text or json", []string{"--plant", worksFile, "--log", "xml"}},
		{"want debug, info", []string{"--plant", worksFile, "--log-level", "loud"}},
		{"the environment has no QUOIN_NO_STORE", []string{"--plant", worksFile, "--store", "env:QUOIN_NO_STORE"}},
		{"a host name, an address or a network", []string{"--plant", worksFile, "--send-to", "http://x/"}},
	} {
		var out bytes.Buffer
		cmd := newServe(streams{nil, &out, &out})
		cmd.SilenceUsage, cmd.SilenceErrors = true, true
		cmd.SetArgs(test.args)
		require.ErrorContains(t, cmd.ExecuteContext(t.Context()), test.want, test.args)
	}
}

func TestRetention(t *testing.T) {
	r, err := parseRetention("contents=400d, log=3650d")
	require.NoError(t, err)
	require.Equal(t, works.Retention{Contents: 400 * 24 * time.Hour, Log: 3650 * 24 * time.Hour}, r)
}

func TestReach(t *testing.T) {
	p, _, err := plant.LoadFile(worksFile)
	require.NoError(t, err)
	require.NoError(t, reach(p, []string{"offset-b2=jmf:http://10.0.0.7/jmf", "folder-1=xjmf:/mnt/folder-1"}))
	require.Equal(t, plant.Connection{URL: "http://10.0.0.7/jmf", Dialect: plant.JMF}, p.Presses[0].Connection)
	require.Equal(t, plant.Connection{Folder: "/mnt/folder-1", Dialect: plant.XJMF}, p.Folders[0].Connection)
}
