package proof

import (
	"context"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/postgrestest"
	"quoin/cmd/quoin/internal/works"
)

// A disk that is full makes the service refuse what it can not store, with 503, and
// nothing else; when there is room again it goes on by itself.
func TestDiskFull(t *testing.T) {
	s := newStage(t, "", "", 3)
	disk := filepath.Join(t.TempDir(), "disk")
	require.NoError(t, os.Mkdir(disk, 0o755))
	// A disk of the process alone, which ends with it.
	s.before = []string{"unshare", "--user", "--map-root-user", "--mount", "sh", "-c",
		`mount -t tmpfs -o size=24m tmpfs "$0" && exec "$@"`, disk}
	if out, err := exec.Command(s.before[0], append(s.before[1:], "true")...).CombinedOutput(); err != nil {
		t.Skipf("a process can not have a disk of its own here, which this test needs: %v: %s", err, out)
	}
	s.store = filepath.Join(disk, "quoin.db")
	p := s.start(t)
	seen := fmt.Sprintf("/proc/%d/root%s", p.cmd.Process.Pid, disk) // the disk as the process sees it
	jobs := s.sender.submissions(t, s.plant, size(4, 12), 41)
	half := len(jobs) / 2
	require.NoError(t, s.sender.submitAll(within(t, time.Minute), s.url(), jobs[:half], 1))
	s.settled(t, half, 5*time.Minute)
	filler := filepath.Join(seen, "filler")
	fill(t, filler)
	refused := 0
	for n := range 200 { // the log of the database may still have room for some
		status, answer, err := s.sender.post(context.Background(), s.url(), jobs[half].media, jobs[half].body)
		require.NoError(t, err)
		if status == http.StatusServiceUnavailable {
			refused++
			break
		}
		require.True(t, taken(status, answer), "attempt %d: status %d:\n%s", n, status, answer)
		half = min(half+1, len(jobs)-1)
		fill(t, filler)
	}
	require.Positive(t, refused, "a full disk is told with 503")
	require.True(t, p.running(), "a full disk is no reason to end")
	require.NoError(t, os.Remove(filler))
	require.NoError(t, s.sender.submitAll(within(t, time.Minute), s.url(), jobs, 2))
	s.settled(t, len(jobs), 5*time.Minute)
	require.Equal(t, []*process{p}, s.runs, "it went on by itself")
	log, err := os.ReadFile(s.log)
	require.NoError(t, err)
	require.Less(t, strings.Count(string(log), "can not be reached"), 200, "a store that can not be written is not asked all the time")
	copied := filepath.Join(t.TempDir(), "quoin.db")
	s.takeAway(t, seen, copied)
	counted := s.count(t, jobs)
	t.Logf("%d requests answered with 503; %s", s.road.busy, counted)
}

// fill writes into a file until its disk is full.
func fill(t testing.TB, name string) {
	t.Helper()
	f, err := os.OpenFile(name, os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o644)
	require.NoError(t, err)
	for _, step := range []int{64 << 10, 512} {
		block := make([]byte, step)
		for err == nil {
			_, err = f.Write(block)
		}
		err = nil
	}
	require.NoError(t, f.Close())
}

// takeAway kills the process and copies the store from its disk, which is there as long
// as its files are open: what counts is what is on the disk.
func (s *stage) takeAway(t testing.TB, disk, to string) {
	t.Helper()
	files := map[string]*os.File{}
	for _, suffix := range []string{"", "-wal"} {
		f, err := os.Open(filepath.Join(disk, "quoin.db"+suffix))
		require.NoError(t, err)
		files[suffix] = f
	}
	s.kill(0)
	for suffix, f := range files {
		data, err := io.ReadAll(f)
		require.NoError(t, err)
		require.NoError(t, f.Close())
		require.NoError(t, os.WriteFile(to+suffix, data, 0o644))
	}
	s.store = to
}

// The database is killed under load and started again; the process stays and goes on.
func TestDatabaseBreaks(t *testing.T) {
	server := postgrestest.Start(t)
	s := newStage(t, server.Database(t), faults, 13)
	jobs := s.sender.submissions(t, s.plant, size(4, 30), 43)
	p := s.start(t)
	submitted := make(chan error, 1)
	go func() { submitted <- s.submitSlowly(within(t, 10*time.Minute), jobs, size(6, 40)) }()
	breaks := size(2, 12)
	for range breaks {
		time.Sleep(800 * time.Millisecond)
		server.Kill(t)
		time.Sleep(400 * time.Millisecond)
		server.Restart(t)
	}
	require.NoError(t, <-submitted)
	s.settled(t, len(jobs), 10*time.Minute)
	require.True(t, p.running())
	s.end(t)
	counted := s.count(t, jobs)
	t.Logf("%d breaks of the database, %d requests answered with 503; %s", breaks, s.road.busy, counted)
	require.Positive(t, s.road.busy+s.road.broken, "the breaks fell into work")
}

// Machines that are away get what they missed when they are back, in its order, once.
func TestMachinesAway(t *testing.T) {
	s := newStage(t, "", faults, 19)
	jobs := s.sender.submissions(t, s.plant, size(3, 60), 47)
	s.start(t)
	s.floor.shut()
	require.NoError(t, s.sender.submitAll(within(t, 5*time.Minute), s.url(), jobs, 2))
	require.Eventually(t, func() bool {
		return slices.ContainsFunc(s.deliveries(t, ""), func(d *works.Delivery) bool { return d.Error != "" })
	}, time.Minute, 100*time.Millisecond, "a machine that is away can not be given anything")
	for range size(2, 6) {
		time.Sleep(time.Second)
		s.floor.reopen(t)
		time.Sleep(time.Second)
		s.floor.shut()
	}
	s.floor.reopen(t)
	s.settled(t, len(jobs), 10*time.Minute)
	s.end(t)
	counted := s.count(t, jobs)
	t.Logf("%s", counted)
}

// measured is what a run of posts came to.
type measured struct {
	took    time.Duration
	each    []time.Duration // of every answer, unsorted
	refused int64
}

// flood posts as many documents as asked for over some connections, each a document of
// its own.
func (s *sender) flood(t testing.TB, to string, n, connections int, document func(i int) (media string, body []byte)) measured {
	t.Helper()
	var next, refused atomic.Int64
	var lock sync.Mutex
	m := measured{}
	begun := time.Now()
	var wait sync.WaitGroup
	for range connections {
		wait.Go(func() {
			var own []time.Duration
			for i := next.Add(1); i <= int64(n); i = next.Add(1) {
				media, body := document(int(i))
				from := time.Now()
				status, answer, err := s.post(context.Background(), to, media, body)
				if err != nil || !taken(status, answer) {
					refused.Add(1)
				}
				own = append(own, time.Since(from))
			}
			lock.Lock()
			defer lock.Unlock()
			m.each = append(m.each, own...)
		})
	}
	wait.Wait()
	m.took, m.refused = time.Since(begun), refused.Load()
	return m
}
