//go:build !checker

package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/testdata/standard"
)

const (
	demo       = "../../testdata/demo/"
	saltmarsh  = "../../testdata/plant/saltmarsh.yaml"
	leaflet    = demo + "tide-tables.xjdf"
	programme  = demo + "playbill.jdf"
	refused    = demo + "wedding-cards.xjdf"
	impossible = demo + "harbour-chart.xjdf"
)

// quoin runs a command line in this process.
func quoin(t *testing.T, stdin string, args ...string) (status int, out, err string) {
	t.Helper()
	var stdout, stderr bytes.Buffer
	status = run(context.Background(), args, streams{strings.NewReader(stdin), &stdout, &stderr})
	return status, stdout.String(), stderr.String()
}

func TestValidateStatus(t *testing.T) {
	for _, c := range []struct {
		want int
		args []string
	}{
		{statusClean, []string{leaflet}},
		{statusClean, []string{programme, leaflet}},
		{statusClean, []string{impossible}}, // nothing is wrong with it but that no press takes it
		{statusClean, []string{"--plant", saltmarsh, leaflet, programme}},
		{statusFindings, []string{refused}},
		{statusFindings, []string{"--plant", saltmarsh, impossible}},
		{statusClean, []string{"--plant", saltmarsh, "--ignore", "plant/*", impossible}},
		{statusClean, []string{"--plant", saltmarsh, "--only", "schema,ref", impossible}},
		{statusFailed, nil},
		{statusFailed, []string{"absent.xjdf"}},
		{statusFailed, []string{"--only", "colour", leaflet}},
		{statusFailed, []string{"--ignore", "everything", leaflet}},
		{statusFailed, []string{"--fail-on", "never", leaflet}},
		{statusFailed, []string{"--format", "csv", leaflet}},
		{statusFailed, []string{"--plant", "absent.yaml", leaflet}},
		{statusFailed, []string{"--plant", leaflet, leaflet}},
		{statusFailed, []string{t.TempDir()}},
	} {
		status, out, err := quoin(t, "", append([]string{"validate"}, c.args...)...)
		require.Equal(t, c.want, status, "%v\n%s%s", c.args, out, err)
		require.Equal(t, c.want == statusFailed, err != "", "%v: %s", c.args, err)
	}
}

func TestValidateShowsLineAndCaret(t *testing.T) {
	_, out, _ := quoin(t, "", "validate", refused)
	require.Contains(t, out, refused+`:12:40: error schema/enumeration: ResourceSet/@Usage is "input"`)
	require.Contains(t, out, "  12 |   <ResourceSet Name=\"Component\" Usage=\"input\">\n"+
		"     |                                        ^^^^^\n")
	require.Contains(t, out, "ref/duplicate-id")
	require.Contains(t, out, "ref/dangling")
	require.NotContains(t, out, "\x1b", "colour is for terminals")
}

func TestValidateReadsStandardInput(t *testing.T) {
	ticket, err := os.ReadFile(refused)
	require.NoError(t, err)
	status, out, _ := quoin(t, string(ticket), "validate", "-")
	require.Equal(t, statusFindings, status)
	require.Contains(t, out, "<stdin>:12:40: error schema/enumeration")
	status, out, _ = quoin(t, "", "validate", "-")
	require.Equal(t, statusFindings, status)
	require.Contains(t, out, "xml/no-root")
}

func TestValidateJSON(t *testing.T) {
	_, out, _ := quoin(t, "", "validate", "--format", "json", "--only", "ref", refused)
	var report struct {
		Files, Errors, Warnings, Notes int
		Findings                       []struct {
			ID string
			At struct{ Line, Column int }
		}
	}
	require.NoError(t, json.Unmarshal([]byte(out), &report))
	require.Equal(t, 1, report.Files)
	require.Len(t, report.Findings, report.Errors+report.Warnings+report.Notes)
	require.Positive(t, report.Errors)
	for _, f := range report.Findings {
		require.True(t, strings.HasPrefix(f.ID, "ref/"), f.ID)
		require.Positive(t, f.At.Line)
	}
}

func TestValidateLimits(t *testing.T) {
	status, out, _ := quoin(t, "", "validate", "--max-bytes", "100", leaflet)
	require.Equal(t, statusFindings, status)
	require.Contains(t, out, "xml/too-large")
	status, out, _ = quoin(t, "", "validate", "--max-depth", "2", leaflet)
	require.Equal(t, statusFindings, status)
	require.Contains(t, out, "xml/too-deep")
}

// Source: the published samples of the standard: every file is read, and the
// run ends with a line of summary.
func TestValidateStandard(t *testing.T) {
	_, out, err := quoin(t, "", "validate", standard.Dir(t))
	require.Empty(t, err)
	lines := strings.Split(strings.TrimSpace(out), "\n")
	require.Regexp(t, regexp.MustCompile(`^292 files checked: \d+ errors?, \d+ warnings?, \d+ notes?`), lines[len(lines)-1])
}

func TestPlanWritesTickets(t *testing.T) {
	for _, ticket := range []string{leaflet, programme} {
		out := filepath.Join(t.TempDir(), "job")
		status, text, err := quoin(t, "", "plan", ticket, "--plant", saltmarsh, "--out", out)
		require.Equal(t, statusClean, status, "%s%s", text, err)
		require.FileExists(t, filepath.Join(out, planFile))
		status, text, err = quoin(t, "", "validate", "--plant", saltmarsh, "--fail-on", "warning", out)
		require.Equal(t, statusClean, status, "%s%s", text, err)
	}
}

func TestPlanRefusesAndWritesNothing(t *testing.T) {
	for _, ticket := range []string{refused, impossible} {
		out := filepath.Join(t.TempDir(), "job")
		status, text, _ := quoin(t, "", "plan", ticket, "--plant", saltmarsh, "--out", out)
		require.Equal(t, statusFindings, status)
		require.Contains(t, text, ": error ")
		require.NoDirExists(t, out)
	}
	status, _, err := quoin(t, "", "plan", demo+"returned/tide-tables-cut.jmf", "--plant", saltmarsh)
	require.Equal(t, statusFailed, status)
	require.Contains(t, err, "is no ticket")
}

func TestPlanJSONIsTheFileThatCollectReads(t *testing.T) {
	out := t.TempDir()
	status, text, _ := quoin(t, "", "plan", leaflet, "--plant", saltmarsh, "--out", out, "--format", "json")
	require.Equal(t, statusClean, status)
	file, err := os.ReadFile(filepath.Join(out, planFile))
	require.NoError(t, err)
	require.JSONEq(t, string(file), text)

	status, text, errs := quoin(t, "", "collect", demo+"returned", "--plant", saltmarsh, "--plan", out)
	require.Equal(t, statusClean, status, errs)
	require.Contains(t, text, "planned")
	require.Contains(t, text, "SPW-1041")
	status, text, _ = quoin(t, "", "collect", demo+"returned", "--plant", saltmarsh, "--format", "json")
	require.Equal(t, statusClean, status)
	require.True(t, json.Valid([]byte(text)))
}

// A message that came twice, or in another order, changes nothing.
func TestCollectOrder(t *testing.T) {
	files, err := filepath.Glob(demo + "returned/*")
	require.NoError(t, err)
	require.Len(t, files, 5)
	args := append([]string{"collect", "--plant", saltmarsh}, files...)
	_, once, _ := quoin(t, "", args...)
	for i, j := 0, len(files)-1; i < j; i, j = i+1, j-1 {
		files[i], files[j] = files[j], files[i]
	}
	args = append([]string{"collect", "--plant", saltmarsh}, files...)
	_, again, _ := quoin(t, "", append(args, files[0])...)
	costs := func(s string) string { s, _, _ = strings.Cut(s, "\n\n../"); return s }
	require.Equal(t, costs(once), costs(again))
}

func TestCollectTellsBrokenFiles(t *testing.T) {
	status, out, _ := quoin(t, "<XJMF", "collect", "--plant", saltmarsh, "-")
	require.Equal(t, statusFindings, status)
	require.Contains(t, out, "xml/truncated")
	status, _, err := quoin(t, "", "collect", "--plant", saltmarsh, "--plan", leaflet, demo+"returned")
	require.Equal(t, statusFailed, status)
	require.Contains(t, err, "plan")
}

func TestExplain(t *testing.T) {
	status, out, _ := quoin(t, "", "explain", "ref/duplicate-id")
	require.Equal(t, statusClean, status)
	require.Contains(t, out, "error, for the sender to mend")
	require.Contains(t, out, "the ID <id> is given twice")
	require.Contains(t, out, "Breaks it")
	status, _, err := quoin(t, "", "explain", "ref/duplicate-ids")
	require.Equal(t, statusFailed, status)
	require.Contains(t, err, "did you mean ref/duplicate-id?")
	_, out, _ = quoin(t, "", "explain")
	require.Equal(t, len(allRules()), strings.Count(out, "\n"))
}

// Ids are given once, in whichever package a rule lives, and each says why.
func TestRuleIDs(t *testing.T) {
	form := regexp.MustCompile(`^(xml|schema|ref|process|plant|message|pack|audit|convert|house|access)/[a-z0-9]+(-[a-z0-9]+)*$`)
	seen := map[string]bool{}
	for _, r := range allRules() {
		require.Regexp(t, form, r.ID)
		require.False(t, seen[r.ID], "%s is given twice", r.ID)
		require.NotEmpty(t, r.Why, r.ID)
		seen[r.ID] = true
	}
	require.Greater(t, len(seen), 50)
}

func TestShowVersionPlant(t *testing.T) {
	status, out, _ := quoin(t, "", "show", leaflet)
	require.Equal(t, statusClean, status)
	require.Contains(t, out, `customer: id "K-077", name "Brackwater Harbour Office"`)
	status, out, _ = quoin(t, "", "version")
	require.Equal(t, statusClean, status)
	require.Contains(t, out, "JDF and JMF 1.0 to 1.9, XJDF and XJMF 2.0 to 2.3")
	status, _, _ = quoin(t, "", "plant", "check", saltmarsh)
	require.Equal(t, statusClean, status)
	status, out, _ = quoin(t, "", "plant", "check", leaflet)
	require.Equal(t, statusFindings, status)
	require.Contains(t, out, leaflet+":")
}

func write(t *testing.T, path, text string) {
	t.Helper()
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
}

// brokenTicket is a copy of a demo ticket in a folder of its own.
func brokenTicket(t *testing.T, dir string) string {
	t.Helper()
	ticket, err := os.ReadFile(refused)
	require.NoError(t, err)
	path := filepath.Join(dir, "cards.xjdf")
	write(t, path, string(ticket))
	return path
}

func TestHouseRules(t *testing.T) {
	dir := t.TempDir()
	ticket := brokenTicket(t, filepath.Join(dir, "in", "today"))
	status, out, _ := quoin(t, "", "validate", ticket)
	require.Equal(t, statusFindings, status)
	errors := strings.Count(out, ": error ")

	write(t, filepath.Join(dir, "quoin.yaml"), "ignore:\n"+
		"  - {rule: ref/dangling, reason: the sender mends it in June, until: 2099-12-31}\n"+
		"severity:\n  ref/duplicate-id: warning\n")
	_, out, _ = quoin(t, "", "validate", ticket)
	require.Equal(t, errors-2, strings.Count(out, ": error "))
	require.Contains(t, out, "warning ref/duplicate-id")
	require.Contains(t, out, "1 silenced")
	_, out, _ = quoin(t, "", "validate", "--no-house", ticket)
	require.Equal(t, errors, strings.Count(out, ": error "))

	write(t, filepath.Join(dir, "quoin.yaml"), "ignroe: []\n")
	status, out, errs := quoin(t, "", "validate", ticket)
	require.Equal(t, statusFailed, status)
	require.Contains(t, out, "quoin.yaml:1:1")
	require.Contains(t, errs, "can not be used")
}

// A ticket may silence what stands in it only where the house lets it.
func TestInstructions(t *testing.T) {
	dir := t.TempDir()
	path := brokenTicket(t, dir)
	ticket, err := os.ReadFile(path)
	require.NoError(t, err)
	write(t, path, strings.Replace(string(ticket), "<CutBlock BlockName=\"K2\"",
		"<?quoin ignore schema/unknown-attribute reason=\"old writer\"?><CutBlock BlockName=\"K2\"", 1))
	_, out, _ := quoin(t, "", "validate", path)
	require.Contains(t, out, "error schema/unknown-attribute")
	_, out, _ = quoin(t, "", "validate", "--instructions", path)
	require.Contains(t, out, "silenced error schema/unknown-attribute")
	require.Contains(t, out, "1 silenced")
}

func TestBaseline(t *testing.T) {
	dir := t.TempDir()
	path := brokenTicket(t, dir)
	known := filepath.Join(dir, "known.json")
	status, _, _ := quoin(t, "", "validate", "--write-baseline", known, path)
	require.Equal(t, statusFindings, status)
	status, _, errs := quoin(t, "", "validate", "--baseline", known, path)
	require.Equal(t, statusClean, status)
	require.Contains(t, errs, "are known")

	ticket, err := os.ReadFile(path)
	require.NoError(t, err)
	write(t, path, strings.Replace(string(ticket), `JobID="SPW-1043"`, ``, 1))
	status, out, _ := quoin(t, "", "validate", "--baseline", known, path)
	require.Equal(t, statusFindings, status)
	require.Equal(t, 2, strings.Count(out, ": error "), out) // the schema and the reference rules both ask for it
	status, _, _ = quoin(t, "", "validate", "--baseline", path, path)
	require.Equal(t, statusFailed, status)
}

func TestFormats(t *testing.T) {
	for format, sign := range map[string]string{
		"sarif": `"version": "2.1.0"`, "junit": "<testsuites", "html": "<!DOCTYPE html>",
	} {
		status, out, errs := quoin(t, "", "validate", "--format", format, refused, leaflet)
		require.Equal(t, statusFindings, status, errs)
		require.Contains(t, out, sign)
		require.Contains(t, out, "ref/duplicate-id")
	}
}

func TestFragmentAsksForLess(t *testing.T) {
	const snippet = `<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" ID="n" JobID="J" JobPartID="P" Status="Waiting" ` +
		`Type="ProcessGroup" Version="1.6"/>`
	_, whole, _ := quoin(t, snippet, "validate", "-")
	_, part, _ := quoin(t, snippet, "validate", "--fragment", "-")
	require.NotEqual(t, whole, part)
}

// Folders are searched by patterns; tickets in packages are named with them.
func TestFoldersAndPackages(t *testing.T) {
	dir := t.TempDir()
	brokenTicket(t, dir)
	write(t, filepath.Join(dir, "notes.txt"), "no ticket")
	_, out, _ := quoin(t, "", "validate", dir)
	require.Contains(t, out, "1 file checked")
	status, _, errs := quoin(t, "", "validate", "--include", "*.jmf", dir)
	require.Equal(t, statusFailed, status)
	require.Contains(t, errs, "no tickets")
}

func TestCompletion(t *testing.T) {
	for _, shell := range []string{"bash", "zsh", "fish", "powershell"} {
		status, out, _ := quoin(t, "", "completion", shell)
		require.Equal(t, statusClean, status)
		require.Contains(t, out, "quoin")
	}
}

// The hook names the command and files that exist, and the container file
// builds what can be built without C.
func TestReadyMadeUses(t *testing.T) {
	hook, err := os.ReadFile("../../.pre-commit-hooks.yaml")
	require.NoError(t, err)
	require.Contains(t, string(hook), "entry: quoin validate")
	for _, name := range ticketNames[:4] {
		require.Regexp(t, `files: .*\b`+strings.TrimPrefix(name, "*.")+`\b`, string(hook))
	}
	// The image is static: every package has to be there without C.
	list := exec.Command("go", "list", "-deps", "-e", "-f", "{{with .Error}}{{.}}{{end}}", ".")
	list.Env = append(os.Environ(), "CGO_ENABLED=0")
	out, err := list.CombinedOutput()
	require.NoError(t, err)
	require.Empty(t, strings.TrimSpace(string(out)))
}
