package ledger_test

import (
	"archive/zip"
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/ledger"
	"quoin/convert/cost"
	"quoin/jdf"
	"quoin/jdf/pack"
	"quoin/validate"
)

const returnMessage = `<JMF xmlns="http://www.CIP4.org/JDFSchema_1_1" SenderID="press-1" Version="1.5"
 TimeStamp="2026-03-02T10:00:00Z">
<Command ID="c1" Type="ReturnQueueEntry"><ReturnQueueEntryParams QueueEntryID="q1" URL=%q/></Command></JMF>`

// returnedTicket is a ticket whose press made some sheets from 08:00 to 09:00.
func returnedTicket(job string, good int) string {
	return fmt.Sprintf(`<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" ID="n1" Type="ConventionalPrinting" JobID=%q>
<AuditPool><PhaseTime TimeStamp="2026-03-02T09:00:00Z" Status="InProgress" Start="2026-03-02T08:00:00Z"
 End="2026-03-02T09:00:00Z">
<Device DeviceID="press-1"/><ComponentLink rRef="c" Usage="Output"><AmountPool><PartAmount ActualAmount="%d"/>
</AmountPool></ComponentLink></PhaseTime></AuditPool></JDF>`, job, good)
}

func write(t *testing.T, dir, name string, data []byte) string {
	t.Helper()
	path := filepath.Join(dir, filepath.FromSlash(name))
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
	require.NoError(t, os.WriteFile(path, data, 0o600))
	return path
}

func zipped(t *testing.T, parts ...*pack.Part) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, pack.WriteZIP(&b, parts))
	return b.Bytes()
}

func mime(t *testing.T, parts ...*pack.Part) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, pack.WriteMIME(&b, parts))
	return b.Bytes()
}

// load reads files and tells which documents came of them, what they say of
// time, and what was found.
func load(t *testing.T, paths ...string) (names, entries, found []string) {
	t.Helper()
	files := &ledger.Files{Paths: paths, Report: func(f validate.Finding) {
		found = append(found, f.Rule.ID+" "+f.Message())
	}}
	var docs []*jdf.Document
	for doc, err := range files.All(t.Context()) {
		require.NoError(t, err)
		docs = append(docs, doc.Document)
		names = append(names, filepath.Base(doc.Source.Name))
	}
	l, _ := cost.Collect(docs)
	for _, e := range l.Entries {
		entries = append(entries, fmt.Sprintf("%s %s %s", e.Job, e.Time, e.Good))
	}
	return names, entries, found
}

func TestPackages(t *testing.T) {
	dir := t.TempDir()
	ticket := []byte(returnedTicket("J1", 100))
	byCID := []byte(fmt.Sprintf(returnMessage, "cid:ticket@press"))
	byName := []byte(fmt.Sprintf(returnMessage, "done/J1.jdf"))
	picture := pack.NewPart("preview.png", "", "image/png", []byte("\x89PNG\r\n\x1a\n"))
	names, entries, found := load(t,
		write(t, dir, "back.mjm", mime(t,
			pack.NewPart("back.jmf", "message@press", "application/vnd.cip4-jmf+xml", byCID),
			pack.NewPart("J1.jdf", "ticket@press", "application/vnd.cip4-jdf+xml", ticket), picture)),
		write(t, dir, "back.zip", zipped(t,
			pack.NewPart("back.jmf", "", "", byName), pack.NewPart("done/J1.jdf", "", "", ticket),
			pack.NewPart("look.svg", "", "", []byte(`<svg xmlns="http://www.w3.org/2000/svg"/>`)))))
	require.Equal(t, []string{"back.mjm!back.jmf", "back.mjm!J1.jdf", "back.zip!back.jmf", "J1.jdf"}, names)
	require.Equal(t, []string{"J1 PT1H 100"}, entries, "both packages bring the same")
	require.Empty(t, found)
}

func TestPackageWithoutTicket(t *testing.T) {
	dir := t.TempDir()
	_, entries, found := load(t,
		write(t, dir, "back.zip", zipped(t, pack.NewPart("back.jmf", "", "", []byte(fmt.Sprintf(returnMessage, "J1.jdf"))))))
	require.Empty(t, entries)
	require.Equal(t, []string{`audit/ticket-away the ticket "J1.jdf" that comes back with the message is not at hand; ` +
		`what it reports is missing`}, found)
}

// A damaged part is reported, and the others are read.
func TestDamagedPackage(t *testing.T) {
	var data bytes.Buffer
	w := zip.NewWriter(&data)
	for i, name := range []string{"a.jdf", "../b.jdf"} {
		part, err := w.Create(name)
		require.NoError(t, err)
		_, err = part.Write([]byte(returnedTicket(fmt.Sprintf("J%d", i+1), 100)))
		require.NoError(t, err)
	}
	require.NoError(t, w.Close())
	names, entries, found := load(t, write(t, t.TempDir(), "back.zip", data.Bytes()))
	require.Len(t, names, 1)
	require.Equal(t, []string{"J1 PT1H 100"}, entries)
	require.Len(t, found, 1)
	require.True(t, strings.HasPrefix(found[0], "pack/"), found[0])
}

// A message that is a file of its own brings the ticket beside it, once.
func TestFolder(t *testing.T) {
	dir := t.TempDir()
	ticket := write(t, dir, "in/done/J1.jdf", []byte(returnedTicket("J1", 100)))
	back := write(t, dir, "in/back.jmf", []byte(fmt.Sprintf(returnMessage, "done/J1.jdf")))
	names, entries, found := load(t, back)
	require.Equal(t, []string{"back.jmf", "J1.jdf"}, names)
	require.Equal(t, []string{"J1 PT1H 100"}, entries)
	require.Empty(t, found)
	names, _, _ = load(t, back, ticket)
	require.Equal(t, []string{"back.jmf", "J1.jdf"}, names, "it is not read twice")

	write(t, dir, "secret.jdf", []byte(returnedTicket("J9", 100)))
	for _, url := range []string{"../secret.jdf", "http://elsewhere/J1.jdf", "nowhere.jdf", "done", "file:///etc/passwd"} {
		names, entries, found := load(t, write(t, dir, "in/other.jmf", []byte(fmt.Sprintf(returnMessage, url))))
		require.Len(t, names, 1, url)
		require.Empty(t, entries)
		require.Len(t, found, 1, url)
		require.Contains(t, found[0], "audit/ticket-away")
	}
}

func TestBrokenFiles(t *testing.T) {
	dir := t.TempDir()
	names, _, found := load(t, write(t, dir, "cut.jdf", []byte(returnedTicket("J1", 100)[:200])))
	require.Empty(t, names, "half a ticket would be half a count")
	require.NotEmpty(t, found)

	files := &ledger.Files{Paths: []string{filepath.Join(dir, "none.jdf")}, Report: func(validate.Finding) {}}
	for _, err := range files.All(t.Context()) {
		require.ErrorContains(t, err, "read ticket: open")
	}
	l := open(t, nil)
	_, _, err := l.Import(t.Context(), files.All(t.Context()))
	require.ErrorContains(t, err, "none.jdf")
}

func TestRules(t *testing.T) {
	for _, r := range ledger.Rules() {
		require.Equal(t, validate.GroupAudit, r.Group())
		require.NotEmpty(t, r.Do)
		require.NotEmpty(t, r.Why)
	}
}

// Documents go in with their findings, which the ledger keeps.
func TestImportDocuments(t *testing.T) {
	l := open(t, saltmarsh(t))
	doc := read(t, "night.jdf", strings.NewReplacer("08:00:00Z", "08:00:00", "09:00:00Z", "09:00:00").
		Replace(returnedTicket("J1", 100)))
	done, found, err := l.Import(t.Context(), arrivals(doc, doc))
	require.NoError(t, err)
	require.Equal(t, 2, done.Documents)
	require.Equal(t, ledger.Count{New: 1, Known: 1}, done.Records)
	require.Equal(t, 1, done.Entries)
	require.Len(t, found, 3, "three times without a zone")
	require.Contains(t, found[0].Message(), "without a zone and is taken as Europe/Berlin")
	require.Len(t, messages(t, l.Findings(t.Context(), ledger.Filter{})), 3)
	entries := all(t, l, ledger.Filter{})
	require.Equal(t, "night.jdf", entries[0].Source.File)
	require.Equal(t, 2, entries[0].Source.Line)
	require.Equal(t, "/JDF/AuditPool/PhaseTime", entries[0].Source.Path)
	for f, err := range l.Findings(t.Context(), ledger.Filter{}) {
		require.NoError(t, err)
		require.Equal(t, "night.jdf", f.Place.File())
		require.Contains(t, []int{2, 3}, f.Place.Pos().Line, "the stamp and the start, or the end")
	}
}
