package proof

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

const plantFile = "../../../../testdata/plant/saltmarsh.yaml"

// program is the binary under proof, built once. The race detector of the tests is not
// in it: it has tests of its own.
var program = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "quoin-proof-")
	if err != nil {
		return "", err
	}
	path := filepath.Join(dir, "quoin")
	if out, err := exec.Command("go", "build", "-o", path, "quoin/cmd/quoin").CombinedOutput(); err != nil {
		return "", fmt.Errorf("build quoin: %w\n%s", err, out)
	}
	return path, nil
})

func TestMain(m *testing.M) {
	code := m.Run()
	if path, err := program(); err == nil {
		_ = os.RemoveAll(filepath.Dir(path))
	}
	os.Exit(code)
}

// process is one run of quoin serve.
type process struct {
	cmd     *exec.Cmd
	address string        // where it answers
	ended   chan struct{} // closed when it is gone
	err     error         // how it ended
}

// launch starts quoin serve and waits until it is ready. The log is added to a file.
// before is put in front of the command line, as "sh -c …".
func launch(t testing.TB, log string, before []string, args ...string) *process {
	t.Helper()
	p, err := tryLaunch(t, log, before, args...)
	require.NoError(t, err)
	return p
}

func tryLaunch(t testing.TB, log string, before []string, args ...string) (*process, error) {
	t.Helper()
	path, err := program()
	require.NoError(t, err)
	line := append(append([]string{}, before...), path, "serve", "--plant", plantFile, "--listen", "127.0.0.1:0",
		"--send-to", "127.0.0.1", "--log", "json")
	line = append(line, args...)
	p := &process{cmd: exec.Command(line[0], line[1:]...), ended: make(chan struct{})}
	stderr, err := p.cmd.StderrPipe()
	require.NoError(t, err)
	out, err := os.OpenFile(log, os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o644)
	require.NoError(t, err)
	p.cmd.Stdout = out
	require.NoError(t, p.cmd.Start())
	ready := make(chan string, 1)
	go func() {
		defer close(p.ended)
		listen(stderr, out, ready)
		p.err = p.cmd.Wait()
		_ = out.Close()
	}()
	select {
	case p.address = <-ready:
		return p, nil
	case <-p.ended:
		return nil, fmt.Errorf("quoin serve ended before it was ready: %w; see the log:\n%s", p.err, tail(log))
	case <-time.After(30 * time.Second):
		p.kill()
		return nil, fmt.Errorf("quoin serve is not ready after half a minute; see the log:\n%s", tail(log))
	}
}

// listen copies a log and gives the address at which its process is ready.
func listen(from io.Reader, to io.Writer, ready chan<- string) {
	lines := bufio.NewScanner(from)
	lines.Buffer(nil, 4<<20)
	for lines.Scan() {
		fmt.Fprintln(to, lines.Text())
		var said struct{ Msg, Address string }
		if json.Unmarshal(lines.Bytes(), &said) == nil && said.Msg == "ready" {
			select {
			case ready <- said.Address:
			default:
			}
		}
	}
	_, _ = io.Copy(to, from) // a line that was too long must not block the process
}

// tail is the end of a log.
func tail(log string) string {
	text, err := os.ReadFile(log)
	if err != nil {
		return err.Error()
	}
	lines := strings.Split(strings.TrimSpace(string(text)), "\n")
	return strings.Join(lines[max(0, len(lines)-20):], "\n")
}

// kill ends the process as kill -9 does, and waits until it is gone.
func (p *process) kill() {
	_ = p.cmd.Process.Kill() // it may be gone already
	<-p.ended
}

// stop asks the process to end, and waits until it has.
func (p *process) stop(t testing.TB) {
	t.Helper()
	require.NoError(t, p.cmd.Process.Signal(syscall.SIGTERM))
	select {
	case <-p.ended:
		require.NoError(t, p.err)
	case <-time.After(40 * time.Second):
		p.kill()
		require.Fail(t, "quoin serve does not end when it is asked to")
	}
}

// running reports whether the process has not ended.
func (p *process) running() bool {
	select {
	case <-p.ended:
		return false
	default:
		return true
	}
}

// get reads a page of the service.
func (p *process) get(path string) (status int, body string, err error) {
	client := http.Client{Timeout: 10 * time.Second}
	r, err := client.Get("http://" + p.address + path)
	if err != nil {
		return 0, "", err
	}
	defer r.Body.Close()
	text, err := io.ReadAll(r.Body)
	return r.StatusCode, string(text), err
}

// metric is the sum of a metric over those of its labels that hold some text.
func metric(page, name, label string) (sum float64) {
	line := regexp.MustCompile(`(?m)^` + name + `(\{[^}]*\})? (\S+)$`)
	for _, m := range line.FindAllStringSubmatch(page, -1) {
		if v, err := strconv.ParseFloat(m[2], 64); err == nil && strings.Contains(m[1], label) {
			sum += v
		}
	}
	return sum
}

// memory is what a process takes of it, in bytes: now, and at most so far.
func (p *process) memory(t testing.TB) (now, most int64) {
	t.Helper()
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", p.cmd.Process.Pid))
	require.NoError(t, err)
	read := func(name string) int64 {
		m := regexp.MustCompile(name + `:\s+(\d+) kB`).FindStringSubmatch(string(text))
		require.NotNil(t, m, "%s stands in /proc", name)
		n, err := strconv.ParseInt(m[1], 10, 64)
		require.NoError(t, err)
		return n << 10
	}
	return read("VmRSS"), read("VmHWM")
}
