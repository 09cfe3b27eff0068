//go:build !checker

package main

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/jdf/pack"
	"quoin/testdata/standard"
)

// buildBoth builds the checker and beside it the whole program, and returns
// their paths.
func buildBoth(t *testing.T) (checker, whole string) {
	t.Helper()
	dir, end := t.TempDir(), ""
	if runtime.GOOS == "windows" {
		end = ".exe"
	}
	checker, whole = filepath.Join(dir, "quoin"+end), filepath.Join(dir, "quoin-works"+end)
	for path, tags := range map[string]string{checker: "checker", whole: ""} {
		build := exec.Command("go", "build", "-tags", tags, "-o", path, ".")
		build.Env = append(os.Environ(), "CGO_ENABLED=0")
		out, err := build.CombinedOutput()
		require.NoError(t, err, "%s", out)
	}
	return checker, whole
}

// outcome is all that a process leaves.
type outcome struct {
	status   int
	out, err string
}

func process(t *testing.T, program, stdin string, args ...string) outcome {
	t.Helper()
	cmd := exec.Command(program, args...)
	var out, trouble bytes.Buffer
	cmd.Stdin, cmd.Stdout, cmd.Stderr = strings.NewReader(stdin), &out, &trouble
	err := cmd.Run()
	var ended *exec.ExitError
	if !errors.As(err, &ended) {
		require.NoError(t, err)
	}
	// The page of a report says when it was made.
	text := regexp.MustCompile(`\d+ [A-Z][a-z]+ \d{4}, \d\d:\d\d`).ReplaceAllString(out.String(), "now")
	return outcome{cmd.ProcessState.ExitCode(), text, trouble.String()}
}

// checkerCase is a command line; alone says that the checker does it by itself.
type checkerCase struct {
	name  string
	alone bool
	stdin string
	args  []string
}

func text(t *testing.T, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(data)
}

const checkerTicket = `<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="SPW-1" Types="Product" Version="2.1">
  <ResourceSet Name="RunList" Usage="Input"><Resource><RunList><FileSpec URL="art"/></RunList></Resource></ResourceSet>
</XJDF>`

// packed writes packages and tickets with files beside them into a folder.
func packed(t *testing.T, dir string) {
	t.Helper()
	ticket := func(art string) []byte { return []byte(strings.Replace(checkerTicket, `"art"`, `"`+art+`"`, 1)) }
	for name, write := range map[string]func(*bytes.Buffer, []*pack.Part) error{
		"order.mjd": func(b *bytes.Buffer, p []*pack.Part) error { return pack.WriteMIME(b, p) },
		"order.zip": func(b *bytes.Buffer, p []*pack.Part) error { return pack.WriteZIP(b, p) },
	} {
		for art, data := range map[string]string{"art.pdf": "%PDF-1.4 and no more", "art.png": "\x89PNG\r\n\x1a\n"} {
			var b bytes.Buffer
			require.NoError(t, write(&b, []*pack.Part{
				pack.NewPart("job.xjdf", "", "application/vnd.cip4-xjdf+xml", ticket(art)),
				pack.NewPart(art, "", "application/octet-stream", []byte(data)),
			}))
			write := filepath.Join(dir, strings.TrimPrefix(filepath.Ext(art), ".")+"-"+name)
			require.NoError(t, os.WriteFile(write, b.Bytes(), 0o600))
		}
	}
	write(t, filepath.Join(dir, "beside", "art.pdf"), "%PDF-1.4 and no more")
	write(t, filepath.Join(dir, "beside", "job.xjdf"), string(ticket("art.pdf")))
	write(t, filepath.Join(dir, "housed", "quoin.yaml"), "ignore:\n"+
		"  - {rule: audit/purchase-line, reason: lists are made by hand, until: 2099-12-31}\n"+
		"  - {rule: access/secret, reason: on trial, until: 2099-12-31}\n"+
		"  - {rule: ref/dangling, reason: mended in June, until: 2099-12-31}\n")
	write(t, filepath.Join(dir, "housed", "job.xjdf"), text(t, refused))
	write(t, filepath.Join(dir, "misruled", "quoin.yaml"), "ignore:\n  - {rule: audit/purchase-lines, reason: none}\n")
	write(t, filepath.Join(dir, "misruled", "job.xjdf"), text(t, refused))
	write(t, filepath.Join(dir, "empty", "notes.txt"), "no ticket")
}

func checkerCases(t *testing.T, dir string) []checkerCase {
	t.Helper()
	packed(t, dir)
	in := func(name string) string { return filepath.Join(dir, name) }
	known := in("known.json")
	cases := []checkerCase{
		{"clean", true, "", []string{"validate", leaflet, programme}},
		{"findings", true, "", []string{"validate", refused}},
		{"plant", true, "", []string{"validate", "--plant", saltmarsh, demo}},
		{"broken plant", true, "", []string{"validate", "--plant", leaflet, leaflet}},
		{"folder", true, "", []string{"validate", demo}},
		{"profile", true, "", []string{"validate", "--profile", "base-2", leaflet}},
		{"unknown profile", true, "", []string{"validate", "--profile", "none", leaflet}},
		{"json", true, "", []string{"validate", "--format", "json", refused}},
		{"sarif", true, "", []string{"validate", "--format", "sarif", refused}},
		{"junit", true, "", []string{"validate", "--format", "junit", refused, leaflet}},
		{"standard input", true, text(t, refused), []string{"validate", "-"}},
		{"package in standard input", true, text(t, in("png-order.zip")), []string{"validate", "-"}},
		{"missing file", true, "", []string{"validate", "absent.xjdf", leaflet}},
		{"nothing named", true, "", []string{"validate"}},
		{"bad flag", true, "", []string{"validate", "--bogus"}},
		{"bad value", true, "", []string{"validate", "--format", "csv", leaflet}},
		{"help", true, "", []string{"validate", "--help"}},
		{"empty folder", true, "", []string{"validate", in("empty")}},
		{"house", true, "", []string{"validate", in("housed")}},
		{"unknown rule", true, "", []string{"validate", in("misruled")}},
		{"instructions", true, "", []string{"validate", "--instructions", refused}},
		{"new baseline", true, "", []string{"validate", "--write-baseline", known, refused}},
		{"baseline", true, "", []string{"validate", "--baseline", known, refused}},
		{"MIME", true, "", []string{"validate", in("png-order.mjd")}},
		{"ZIP", true, "", []string{"validate", in("png-order.zip")}},
		{"MIME with PDF", false, "", []string{"validate", in("pdf-order.mjd")}},
		{"ZIP with PDF", false, "", []string{"validate", in("pdf-order.zip")}},
		{"PDF beside", false, "", []string{"validate", leaflet, in("beside"), leaflet}},
		{"PDF and standard input", false, text(t, refused), []string{"validate", "-", in("housed"), in("beside")}},
		{"html", false, "", []string{"validate", "--format", "html", refused}},
		{"XSD", false, "", []string{"validate", "--xsd", "absent.xsd", refused}},
		{"nothing", false, "", nil},
		{"root help", false, "", []string{"--help"}},
		{"other help", false, "", []string{"help", "validate"}},
		{"version", false, "", []string{"version"}},
		{"unknown command", false, "", []string{"validte", leaflet}},
		{"explain", false, "", []string{"explain", "audit/purchase-line"}},
		{"show", false, "", []string{"show", leaflet}},
		{"show standard input", false, text(t, leaflet), []string{"show", "-"}},
		{"completion", false, "", []string{"completion", "bash"}},
		{"plant check", false, "", []string{"plant", "check", leaflet}},
	}
	for i, path := range standard.Samples(t) {
		if i%40 == 0 {
			cases = append(cases, checkerCase{filepath.Base(path), true, "", []string{"validate", path}})
		}
	}
	return cases
}

// Both programs are built once for all that is asked of them.
func TestChecker(t *testing.T) {
	checker, whole := buildBoth(t)
	t.Run("is the whole", func(t *testing.T) { checkerIsTheWhole(t, checker, whole) })
	t.Run("finds the whole", func(t *testing.T) { checkerFindsTheWhole(t, checker, whole) })
	t.Run("passes signals on", func(t *testing.T) { checkerPassesSignalsOn(t, checker) })
}

// The checker with the whole program beside it does what the whole program does,
// and by itself what it says it does; the rest then ends with a word on what is
// missing.
//
// Source: samples of the published standard, among the tickets.
func checkerIsTheWhole(t *testing.T, checker, whole string) {
	alone := filepath.Join(t.TempDir(), filepath.Base(checker))
	require.NoError(t, os.Link(checker, alone))
	cases := checkerCases(t, t.TempDir())
	require.Greater(t, len(cases), 45)
	for _, c := range cases {
		want := process(t, whole, c.stdin, c.args...)
		require.Equal(t, want, process(t, checker, c.stdin, c.args...), c.name)
		got := process(t, alone, c.stdin, c.args...)
		if c.alone {
			require.Equal(t, want, got, c.name)
			continue
		}
		require.Equal(t, statusFailed, got.status, c.name)
		require.Empty(t, got.out, c.name)
		require.Regexp(t, `^quoin: (quoin.*|looking into PDFs) is done by quoin-works, which is not in `, got.err, c.name)
		require.Contains(t, got.err, filepath.Dir(alone), c.name)
	}
}

// A link to the checker finds the whole program all the same; a checker under its
// name does not call itself for ever.
func checkerFindsTheWhole(t *testing.T, checker, whole string) {
	link := filepath.Join(t.TempDir(), "q")
	require.NoError(t, os.Symlink(checker, link))
	require.Equal(t, process(t, whole, "", "version"), process(t, link, "", "version"))
	misnamed := filepath.Join(t.TempDir(), filepath.Base(whole))
	require.NoError(t, os.Link(checker, misnamed))
	got := process(t, misnamed, "", "version")
	require.Equal(t, statusFailed, got.status)
	require.Contains(t, got.err, "quoin: quoin version is done by quoin-works")
}

// What stops the checker stops the service that it gave way to.
func checkerPassesSignalsOn(t *testing.T, checker string) {
	if runtime.GOOS == "windows" {
		t.Skip("Windows has no signal to end a process with")
	}
	cmd := exec.Command(checker, "serve", "--plant", saltmarsh, "--listen", "127.0.0.1:0", "--log", "json",
		"--store", filepath.Join(t.TempDir(), "quoin.db"))
	var log heard
	cmd.Stderr = &log
	require.NoError(t, cmd.Start())
	ended := make(chan error, 1)
	go func() { ended <- cmd.Wait() }()
	require.Eventually(t, func() bool { return strings.Contains(log.text(), `"msg":"ready"`) },
		60*time.Second, 10*time.Millisecond)
	require.NoError(t, cmd.Process.Signal(syscall.SIGTERM))
	select {
	case err := <-ended:
		require.NoError(t, err, log.text())
	case <-time.After(60 * time.Second):
		require.NoError(t, cmd.Process.Kill())
		require.Fail(t, "the service does not end")
	}
}

// Every start pays for what is linked in, so that none of this may be.
func TestCheckerIsLight(t *testing.T) {
	list := exec.Command("go", "list", "-deps", "-tags", "checker", ".")
	list.Env = append(os.Environ(), "CGO_ENABLED=0")
	out, err := list.Output()
	require.NoError(t, err)
	deps := strings.Fields(string(out))
	require.Greater(t, len(deps), 50)
	heavy := regexp.MustCompile(`^(modernc\.org|github\.com/(jackc|xuri|prometheus|pdfcpu|fsnotify|terminalstatic))/` +
		`|^(net/http|encoding/gob|crypto/tls|database/sql|html/template|runtime/cgo)$`)
	for _, dep := range deps {
		require.NotRegexp(t, heavy, dep)
	}
}
