package packages

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/jdf/pack"
	"quoin/testdata/standard"
	"quoin/validate"
)

func writeFile(t testing.TB, dir, name string, data []byte) string {
	t.Helper()
	path := filepath.Join(dir, name)
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o700))
	require.NoError(t, os.WriteFile(path, data, 0o600))
	return path
}

func ticketWith(urls ...string) []byte {
	var out strings.Builder
	out.WriteString(`<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="SPW-1" Types="Product" Version="2.1">`)
	for _, u := range urls {
		fmt.Fprintf(
			&out,
			`<ResourceSet Name="RunList" Usage="Input"><Resource><RunList><FileSpec URL=%q/></RunList></Resource></ResourceSet>`,
			u,
		)
	}
	out.WriteString("</XJDF>")
	return []byte(out.String())
}

func zipFile(t testing.TB, dir string, parts ...*pack.Part) string {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, pack.WriteZIP(&out, parts))
	return writeFile(t, dir, "order.zip", out.Bytes())
}

func ids(r *validate.Report) string {
	var all []string
	for _, f := range r.Findings {
		all = append(all, f.Rule.ID)
	}
	return strings.Join(all, " ")
}

// every is an engine with a stage that finds something at each root.
func every() *validate.Engine {
	rule := &validate.Rule{ID: "ref/seen", Severity: validate.Note, Mends: validate.Sender, Say: "seen"}
	return &validate.Engine{Stages: []validate.Stage{{
		Name: "every", Rules: []*validate.Rule{rule},
		Check: func(s *validate.Subject, report func(validate.Finding)) error {
			report(rule.At(s.Doc.Root().NamePlace()))
			return nil
		},
	}}}
}

func TestEngineSeesEachTicketByItsName(t *testing.T) {
	broken := []byte(`<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0">`)
	path := zipFile(t, t.TempDir(),
		pack.NewPart("a.xjdf", "", "", ticketWith("b/two.xjdf")), pack.NewPart("b/two.xjdf", "", "", ticketWith()),
		pack.NewPart("c.xjdf", "", "", broken), pack.NewPart("notes.xml", "", "", []byte("<notes/>")))
	engine := every()
	report, err := Check(context.Background(), engine, path, Options{})
	require.NoError(t, err)
	var seen []string
	for _, f := range report.Findings {
		seen = append(seen, strings.TrimPrefix(f.Place.File(), filepath.Dir(path)+"/")+" "+f.Rule.ID)
	}
	require.Equal(t, []string{
		"order.zip!a.xjdf ref/seen", "order.zip!b/two.xjdf ref/seen",
		"order.zip!b/two.xjdf pack/duplicate-job-part", "order.zip!c.xjdf xml/truncated",
	}, seen)
	require.Equal(t, 3, report.Files)
	require.Len(t, engine.Stages, 1, "the engine is left as it was")
}

func TestFilterHoldsForPackages(t *testing.T) {
	path := zipFile(t, t.TempDir(), pack.NewPart("a.xjdf", "", "", ticketWith("gone.pdf")))
	for _, f := range []validate.Filter{
		{Ignore: []string{"pack/*"}}, {Only: []string{"ref"}}, {Ignore: []string{"pack/file-missing"}},
	} {
		report, err := Check(context.Background(), &validate.Engine{Filter: f}, path, Options{})
		require.NoError(t, err)
		require.Empty(t, report.Findings)
	}
}

func TestMostHoldsForPackages(t *testing.T) {
	path := zipFile(t, t.TempDir(), pack.NewPart("a.xjdf", "", "", ticketWith("a", "b", "c")))
	report, err := Check(context.Background(), &validate.Engine{Most: 2}, path, Options{})
	require.NoError(t, err)
	require.Len(t, report.Findings, 2)
	require.Equal(t, 1, report.Left)
	require.Equal(t, 3, report.Count(validate.Error))
}

func TestFoldersAndLinks(t *testing.T) {
	dir, other := t.TempDir(), t.TempDir()
	writeFile(t, other, "secret.pdf", []byte("%PDF-1.4"))
	page := Page{Media: Box{0, 0, 9, 9}, Trim: Box{1, 1, 2, 2}, HasTrim: true}
	reader := readerFunc(func(context.Context) (*PDF, error) { return &PDF{Version: "1.4", Pages: []Page{page}}, nil })
	require.NoError(t, os.Symlink(filepath.Join(other, "secret.pdf"), filepath.Join(dir, "link.pdf")))
	require.NoError(t, os.Mkdir(filepath.Join(dir, "folder.pdf"), 0o700))
	missing := func(opt Options, urls ...string) string {
		path := writeFile(t, dir, "job.xjdf", ticketWith(urls...))
		report, err := Check(context.Background(), &validate.Engine{}, path, opt)
		require.NoError(t, err)
		return ids(report)
	}
	require.Equal(t, "pack/file-missing", missing(Options{}, "link.pdf"), "a link that leads out is no file")
	require.Equal(t, "pack/file-missing", missing(Options{}, "folder.pdf"))
	require.Equal(t, "pack/file-missing", missing(Options{}, "secret.pdf"))
	require.Empty(t, missing(Options{Folders: []string{other}, PDF: reader}, "secret.pdf"))
	require.Empty(
		t, missing(Options{Folders: []string{other}, PDF: reader}, "file://"+filepath.ToSlash(other)+"/secret.pdf"),
	)
	require.Equal(
		t, "pack/file-missing",
		missing(Options{Folders: []string{other}}, "file://"+filepath.ToSlash(other)+"/gone.pdf"),
	)
	require.Equal(
		t, "pack/file-not-looked-into", missing(Options{}, "file://"+filepath.ToSlash(other)+"/gone.pdf"),
		"what may not be looked at is not called missing",
	)
	require.Equal(
		t, "pack/url-escapes", missing(Options{Folders: []string{other}}, "../"+filepath.Base(other)+"/secret.pdf"),
	)

	_, err := Check(
		context.Background(), &validate.Engine{}, filepath.Join(dir, "job.xjdf"),
		Options{Folders: []string{"/no/such"}},
	)
	require.ErrorContains(t, err, "open folder")
	_, err = Check(context.Background(), &validate.Engine{}, dir, Options{})
	require.ErrorContains(t, err, "not a regular file")
	_, err = Check(context.Background(), &validate.Engine{}, filepath.Join(dir, "gone.xjdf"), Options{})
	require.ErrorIs(t, err, os.ErrNotExist)
}

func TestCheckStopsWithItsContext(t *testing.T) {
	path := zipFile(t, t.TempDir(), pack.NewPart("a.xjdf", "", "", ticketWith()))
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := Check(ctx, &validate.Engine{}, path, Options{})
	require.ErrorIs(t, err, context.Canceled)
}

func TestSlowPDFIsLeftOut(t *testing.T) {
	path := zipFile(
		t, t.TempDir(), pack.NewPart("a.xjdf", "", "", ticketWith("a.pdf")),
		pack.NewPart("a.pdf", "", "", []byte("%PDF-1.4")),
	)
	slow := readerFunc(func(ctx context.Context) (*PDF, error) { <-ctx.Done(); return nil, ctx.Err() })
	report, err := Check(context.Background(), &validate.Engine{}, path, Options{PDF: slow, PDFTime: time.Millisecond})
	require.NoError(t, err)
	require.Equal(t, "pack/pdf-not-looked-into", ids(report))
}

func TestIsPackage(t *testing.T) {
	require.True(t, IsPackage([]byte("PK\x03\x04")))
	require.True(t, IsPackage([]byte("MIME-Version: 1.0\r\nContent-Type: multipart/related\r\n")))
	require.False(t, IsPackage([]byte("<JDF/>")))
	require.False(t, IsPackage(nil))
}

func TestTicketsAreToldByContent(t *testing.T) {
	for data, want := range map[string]contentKind{
		"\xef\xbb\xbf<?xml version='1.0'?>\n<JDF xmlns='http://www.CIP4.org/JDFSchema_1_1'/>": kindTicket,
		"<\x00J\x00" + strings.Join(strings.Split("www.CIP4.org/JDFSchema_1_1", ""), "\x00"):  kindTicket,
		"<html/>": kindOther, "www.CIP4.org/JDFSchema_1_1": kindOther, "%PDF-2.0": kindPDF, "": kindOther,
		"\x89PNG\r\n\x1a\n": kindPNG, "MM\x00*": kindTIFF,
	} {
		require.Equal(t, want, kindOf([]byte(data)), "%q", data)
	}
}

// The samples are read from a folder of their own, so that what they refer to
// is not there; beyond that nothing may be wrong with them.
// Source: the samples of the published standard.
func TestPublishedSamples(t *testing.T) {
	counts := map[string]int{}
	for _, path := range standard.Samples(t) {
		report, err := Check(context.Background(), &validate.Engine{}, path, Options{})
		require.NoError(t, err)
		for _, f := range report.Findings {
			counts[f.Rule.ID]++
			if f.Rule.Group() == "pack" && f.Rule.ID != "pack/file-missing" {
				t.Logf("%s:%d: %s %s", path, f.Place.Pos().Line, f.Rule.ID, f.Message())
			}
		}
	}
	require.Positive(t, counts["pack/file-missing"])
	delete(counts, "pack/file-missing")
	require.Equal(t, map[string]int{"pack/cid-outside-mime": 1, "pack/file-not-looked-into": 44}, counts)
}

// The published message that submits a ticket by cid: is whole in a package,
// together with the ticket that it names.
// Source: sample building/mimeMultipartRelatedJMF.jdf of the published standard.
func TestPublishedSubmission(t *testing.T) {
	message, err := os.ReadFile(filepath.Join(standard.Dir(t), "jdf/samples/building/mimeMultipartRelatedJMF.jdf"))
	require.NoError(t, err)
	ticket := []byte(`<JDF xmlns="` + jdf.NamespaceJDF + `" ID="n" JobID="SPW-3" Status="Waiting" ` +
		`Type="Product" Version="1.9"/>`)
	for id, want := range map[string]string{
		"JDF1@hostname.com": "", "JDF2@hostname.com": "pack/part-unused pack/cid-without-part",
	} {
		var out bytes.Buffer
		require.NoError(t, pack.WriteMIME(&out, []*pack.Part{
			pack.NewPart("", "M1@hostname.com", "application/vnd.cip4-jmf+xml", message),
			pack.NewPart("", id, "application/vnd.cip4-jdf+xml", ticket),
		}))
		report, err := Check(
			context.Background(), &validate.Engine{}, writeFile(t, t.TempDir(), "m.mjm", out.Bytes()), Options{},
		)
		require.NoError(t, err)
		require.Equal(t, want, ids(report))
		require.Equal(t, 2, report.Files)
	}
}

func Example() {
	dir, err := os.MkdirTemp("", "example")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(dir)
	var order bytes.Buffer
	ticket := `<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="SPW-1" Types="Product" Version="2.1">
  <ResourceSet Name="RunList" Usage="Input"><Resource><RunList>
    <FileSpec URL="art/cover.pdf"/>
  </RunList></Resource></ResourceSet>
</XJDF>`
	if err := pack.WriteZIP(&order, []*pack.Part{pack.NewPart("job.xjdf", "", "", []byte(ticket))}); err != nil {
		fmt.Println(err)
		return
	}
	path := filepath.Join(dir, "order.zip")
	if err := os.WriteFile(path, order.Bytes(), 0o600); err != nil {
		fmt.Println(err)
		return
	}
	report, err := Check(context.Background(), &validate.Engine{}, path, Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, f := range report.Findings {
		fmt.Printf("%s:%d: %s\n", filepath.Base(f.Place.File()), f.Place.Pos().Line, f.Message())
	}
	// Output: order.zip!job.xjdf:3: FileSpec/@URL is "art/cover.pdf", and there is no such file in the package
}
