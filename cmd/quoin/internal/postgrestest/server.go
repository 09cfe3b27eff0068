package postgrestest

import (
	"bytes"
	"context"
	"database/sql"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"syscall"
	"testing"
	"time"

	_ "github.com/jackc/pgx/v5/stdlib" // the driver
)

// Variable is the environment variable that names the folder of the server's
// programs where it is not that of Debian's package.
const Variable = "QUOIN_POSTGRES_BIN"

// Server is a running server with a database of its own for each that asks.
type Server struct {
	bin, dir string
	settings []string
	process  *exec.Cmd
	said     *bytes.Buffer // what it wrote; read once it has ended
	made     int
}

// Start starts a server, which is stopped at the end of the test. Settings are
// such as "fsync=off"; without them it is as durable as any.
func Start(t testing.TB, settings ...string) *Server {
	t.Helper()
	s := &Server{bin: programs(t), settings: settings}
	dir, err := os.MkdirTemp("", "quoin-postgres-") // short, for the name of a socket has to be
	if err != nil {
		t.Fatal(err)
	}
	s.dir = dir
	t.Cleanup(func() { os.RemoveAll(dir) })
	if err := give(dir); err != nil {
		t.Fatalf("give %q to the user of the server: %v", dir, err)
	}
	initdb := s.command("initdb", "--no-sync", "--auth=trust", "--username=postgres", "--encoding=UTF8",
		"--locale=C.UTF-8", "--pgdata="+s.data())
	if out, err := initdb.CombinedOutput(); err != nil {
		t.Fatalf("make the data of a PostgreSQL server: %v\n%s", err, out)
	}
	t.Cleanup(func() { s.Kill(t) })
	s.Restart(t)
	return s
}

// programs finds the folder of the server's programs.
func programs(t testing.TB) string {
	t.Helper()
	if dir := os.Getenv(Variable); dir != "" {
		return dir
	}
	found, err := filepath.Glob("/usr/lib/postgresql/*/bin/initdb")
	if err != nil {
		t.Fatal(err)
	}
	if len(found) == 0 {
		say := t.Skipf
		if os.Getenv("CI") != "" {
			say = t.Fatalf
		}
		say("no PostgreSQL server here; install Debian's package postgresql, or set %s", Variable)
	}
	newest := slices.MaxFunc(found, func(a, b string) int { return version(a) - version(b) })
	return filepath.Dir(newest)
}

// version is that of /usr/lib/postgresql/15/bin/initdb.
func version(path string) int {
	n, _ := strconv.Atoi(filepath.Base(filepath.Dir(filepath.Dir(path)))) // 0 for none, the oldest
	return n
}

func (s *Server) data() string { return filepath.Join(s.dir, "data") }

// command is a program of the server, in its folder and as its user.
func (s *Server) command(name string, args ...string) *exec.Cmd {
	cmd := exec.Command(filepath.Join(s.bin, name), args...)
	cmd.Dir = s.dir
	cmd.Env = append(os.Environ(), "LC_ALL=C.UTF-8", "HOME="+s.dir)
	become(cmd)
	return cmd
}

// Restart starts a server that was killed.
func (s *Server) Restart(t testing.TB) {
	t.Helper()
	args := []string{"-D", s.data(), "-k", s.dir, "-c", "listen_addresses=", "-c", "max_connections=200"}
	for _, setting := range s.settings {
		args = append(args, "-c", setting)
	}
	s.process, s.said = s.command("postgres", args...), &bytes.Buffer{}
	s.process.Stdout, s.process.Stderr = s.said, s.said
	if err := s.process.Start(); err != nil {
		t.Fatalf("start PostgreSQL: %v", err)
	}
	db, err := sql.Open("pgx", s.url("postgres"))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	for {
		err := db.PingContext(ctx)
		if err == nil {
			return
		}
		select {
		case <-ctx.Done():
			s.Kill(t)
			t.Fatalf("PostgreSQL does not answer: %v\n%s", err, s.said)
		case <-time.After(20 * time.Millisecond):
		}
	}
}

// Kill ends the server at once, as when the power fails: nothing is written any
// more, and all connections break. It waits until the server is gone, and is
// nothing where that is so already.
func (s *Server) Kill(t testing.TB) {
	t.Helper()
	if s.process == nil || s.process.Process == nil {
		return
	}
	if err := s.process.Process.Signal(syscall.SIGQUIT); err != nil {
		t.Errorf("end PostgreSQL: %v", err)
	}
	_ = s.process.Wait() // it ends with an error, as asked
	s.process = nil
}

// Database makes a new database and gives its address.
func (s *Server) Database(t testing.TB) string {
	t.Helper()
	s.made++
	name := fmt.Sprintf("test%d", s.made)
	db, err := sql.Open("pgx", s.url("postgres"))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if _, err := db.Exec("CREATE DATABASE " + name); err != nil {
		t.Fatalf("make database: %v", err)
	}
	return s.url(name)
}

func (s *Server) url(database string) string {
	u := url.URL{Scheme: "postgres", User: url.User("postgres"), Path: "/" + database}
	u.RawQuery = url.Values{"host": {s.dir}}.Encode()
	return u.String()
}

// URL is the address of a new database on a server of its own, for a test that
// needs no more. The server does not wait for the disk, so that it is quick; it
// keeps what it was told through everything but the fall of the machine.
func URL(t testing.TB) string {
	t.Helper()
	return Start(t, "fsync=off").Database(t)
}
