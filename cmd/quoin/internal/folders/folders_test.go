package folders_test

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/folders"
)

// desk takes files for a test.
type desk struct {
	mu    sync.Mutex
	taken []folders.File
	fail  int // how many times it can not
}

func (d *desk) take(_ context.Context, f folders.File) (folders.Verdict, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.taken = append(d.taken, f)
	if d.fail > 0 {
		d.fail--
		return folders.Verdict{}, errors.New("the store is away")
	}
	if strings.Contains(string(f.Data), "bad") {
		return folders.Verdict{Refused: true, Text: []byte("it is bad\n"), JSON: []byte(`{"errors":1}`)}, nil
	}
	return folders.Verdict{}, nil
}

func (d *desk) names() (all []string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	for _, f := range d.taken {
		all = append(all, f.Name)
	}
	return all
}

// watch watches a folder until the test ends, or what it gives is called.
func watch(t *testing.T, opt folders.Options) (stop func()) {
	t.Helper()
	if opt.Settle == 0 {
		opt.Settle = 40 * time.Millisecond
	}
	opt.Poll = 50 * time.Millisecond
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- folders.Watch(ctx, opt) }()
	stop = sync.OnceFunc(func() { cancel(); require.NoError(t, <-ended) })
	t.Cleanup(stop)
	require.Eventually(t, func() bool {
		_, err := os.Stat(filepath.Join(opt.Folder, folders.Refused))
		return err == nil
	}, 5*time.Second, 5*time.Millisecond)
	return stop
}

func put(t *testing.T, path, text string) {
	t.Helper()
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
}

func has(path ...string) func() bool {
	return func() bool { _, err := os.Stat(filepath.Join(path...)); return err == nil }
}

func TestWatch(t *testing.T) {
	for name, deaf := range map[string]bool{"notified": false, "looking": true} {
		t.Run(name, func(t *testing.T) {
			dir, d := t.TempDir(), &desk{fail: 1}
			watch(t, folders.Options{Folder: dir, Take: d.take, Deaf: deaf})
			put(t, filepath.Join(dir, "in", "good.jdf"), "good")
			require.Eventually(t, has(dir, "done", "good.jdf"), 10*time.Second, 5*time.Millisecond)
			put(t, filepath.Join(dir, "in", "bad.jdf"), "bad")
			require.Eventually(t, has(dir, "refused", "bad.jdf"), 10*time.Second, 5*time.Millisecond)
			require.FileExists(t, filepath.Join(dir, "refused", "bad.jdf.findings.txt"))
			require.FileExists(t, filepath.Join(dir, "refused", "bad.jdf.findings.json"))
			require.Equal(t, []string{"good.jdf", "good.jdf", "bad.jdf"}, d.names(), "one was tried again")
			require.Equal(t, d.taken[0].ID, d.taken[1].ID, "under the same id")

			// The same name again is another file, and overwrites nothing.
			put(t, filepath.Join(dir, "in", "good.jdf"), "good")
			require.Eventually(t, func() bool { return len(d.names()) == 4 }, 10*time.Second, 5*time.Millisecond)
			require.Eventually(t, func() bool {
				files, err := os.ReadDir(filepath.Join(dir, "done"))
				return err == nil && len(files) == 2
			}, 5*time.Second, 5*time.Millisecond)
			require.NotEqual(t, d.taken[0].ID, d.taken[3].ID)
		})
	}
}

// A file that grows is not taken before it is whole, nor one that is passed over.
func TestWhole(t *testing.T) {
	dir, d := t.TempDir(), &desk{}
	watch(t, folders.Options{Folder: dir, Take: d.take, Settle: 300 * time.Millisecond})
	for _, name := range []string{"a.jdf.tmp", ".b.jdf", "c.jdf.part", "~d.jdf"} {
		put(t, filepath.Join(dir, "in", name), "x")
	}
	f, err := os.Create(filepath.Join(dir, "in", "slow.jdf"))
	require.NoError(t, err)
	for range 10 {
		_, err := f.WriteString("more ")
		require.NoError(t, err)
		time.Sleep(60 * time.Millisecond)
	}
	require.Empty(t, d.names())
	if runtime.GOOS == "linux" { // where it can be told that it is open for writing
		time.Sleep(500 * time.Millisecond)
		require.Empty(t, d.names())
	}
	require.NoError(t, f.Close())
	require.Eventually(t, has(dir, "done", "slow.jdf"), 10*time.Second, 5*time.Millisecond)
	require.Equal(t, []string{"slow.jdf"}, d.names())
	require.Equal(t, strings.Repeat("more ", 10), string(d.taken[0].Data))
}

// What was in work when the process ended is taken up again, under the same id.
func TestTakenUpAgain(t *testing.T) {
	dir := t.TempDir()
	broken := &desk{fail: 1_000_000}
	stop := watch(t, folders.Options{Folder: dir, Take: broken.take})
	put(t, filepath.Join(dir, "in", "one.jdf"), "one")
	require.Eventually(t, func() bool { return len(broken.names()) > 0 }, 10*time.Second, 5*time.Millisecond)
	stop()
	require.NoFileExists(t, filepath.Join(dir, "in", "one.jdf"))
	d := &desk{}
	watch(t, folders.Options{Folder: dir, Take: d.take})
	require.Eventually(t, has(dir, "done", "one.jdf"), 10*time.Second, 5*time.Millisecond)
	require.Equal(t, []string{"one.jdf"}, d.names())
	require.Equal(t, broken.taken[0].ID, d.taken[0].ID)
}

func TestTooLarge(t *testing.T) {
	dir, d := t.TempDir(), &desk{}
	watch(t, folders.Options{Folder: dir, Take: d.take, Most: 10})
	put(t, filepath.Join(dir, "in", "large.jdf"), strings.Repeat("x", 11))
	require.Eventually(t, has(dir, "refused", "large.jdf.findings.txt"), 10*time.Second, 5*time.Millisecond)
	require.Empty(t, d.names())
}
