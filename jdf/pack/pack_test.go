package pack

import (
	"bytes"
	"context"
	"io"
	"io/fs"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func open(t testing.TB, data []byte, lim Limits) (*Package, []Problem) {
	t.Helper()
	p, problems, err := Open("order", bytes.NewReader(data), int64(len(data)), lim)
	require.NoError(t, err)
	require.NotNil(t, p)
	return p, problems
}

func read(t testing.TB, part *Part) string {
	t.Helper()
	r, err := part.Open()
	require.NoError(t, err)
	defer r.Close()
	data, err := io.ReadAll(r)
	require.NoError(t, err)
	return string(data)
}

func codes(problems []Problem) string {
	var all []string
	for _, p := range problems {
		all = append(all, string(p.Code))
	}
	return strings.Join(all, " ")
}

func crlf(s string) []byte { return []byte(strings.ReplaceAll(s, "\n", "\r\n")) }

const message = `MIME-Version: 1.0
Content-Type: multipart/related; type="application/vnd.cip4-jmf+xml";
	boundary=abcdefg

preamble
--abcdefg
Content-Type: application/vnd.cip4-jmf+xml
Content-ID: <M1@saltmarsh.example>

<JMF/>
--abcdefg
Content-Type: application/pdf
Content-ID: <art%1@saltmarsh.example>
Content-Transfer-Encoding: base64
Content-Disposition: attachment; filename="art.pdf"

JVBE
Ri0x
--abcdefg
Content-Type: text/plain; charset=utf-8
Content-Location: notes/one.txt
Content-Transfer-Encoding: quoted-printable

gr=C3=BC=
n
--abcdefg--
epilogue
`

func TestMIME(t *testing.T) {
	for name, data := range map[string][]byte{"crlf": crlf(message), "lf": []byte(message)} {
		t.Run(name, func(t *testing.T) {
			p, problems := open(t, data, Limits{})
			require.Empty(t, problems)
			require.Equal(t, MIME, p.Format)
			require.Len(t, p.Parts, 3)
			require.Same(t, p.Parts[0], p.Root)
			require.Equal(t, "application/vnd.cip4-jmf+xml", p.RootType)
			require.Equal(t, "<JMF/>", read(t, p.Parts[0]))
			require.Equal(t, "%PDF-1", read(t, p.Parts[1]))
			require.Equal(t, "grün", read(t, p.Parts[2]))
			require.EqualValues(t, 6, p.Parts[1].Size)
			for url, want := range map[string]int{
				"cid:M1@saltmarsh.example": 0, "CID:art%251@saltmarsh.example": 1, "art.pdf": 1, "./art%2Epdf": 1,
				"notes/one.txt": 2,
			} {
				part, ok := p.Find(nil, url)
				require.True(t, ok, url)
				require.Same(t, p.Parts[want], part, url)
			}
			for _, url := range []string{
				"cid:m1@saltmarsh.example", "../art.pdf", "http://x/art.pdf", "ART.pdf", "", "%2e%2e/art.pdf",
			} {
				_, ok := p.Find(p.Root, url)
				require.False(t, ok, url)
			}
			found, err := p.Verify(context.Background())
			require.NoError(t, err)
			require.Empty(t, found)
		})
	}
}

func TestOpenMIMEWithOuterType(t *testing.T) {
	body := crlf("--b\nContent-Type: text/plain\n\nx\n--b--\n")
	p, problems, err := OpenMIME(
		"post", "multipart/related; boundary=b", bytes.NewReader(body), int64(len(body)), Limits{},
	)
	require.NoError(t, err)
	require.Empty(t, problems)
	require.Equal(t, "x", read(t, p.Root))
}

// Sources: RFC 2045, RFC 2046, RFC 2387 and RFC 2392 for the forms; the limits are our own.
func TestMIMEProblems(t *testing.T) {
	head := "MIME-Version: 1.0\nContent-Type: multipart/related; boundary=b\n\n"
	part := func(fields, body string) string { return "--b\n" + fields + "\n\n" + body + "\n" }
	end := "--b--\n"
	for _, c := range []struct {
		name, data, want string
		lim              Limits
	}{
		{name: "no boundary parameter", data: "Content-Type: multipart/related\n\n" + end, want: "boundary"},
		{
			name: "boundary not allowed", data: "Content-Type: multipart/related; boundary=\"b*\"\n\n" + end,
			want: "boundary",
		},
		{
			name: "boundary too long",
			data: "Content-Type: multipart/related; boundary=" + strings.Repeat("b", 71) + "\n\n", want: "boundary",
		},
		{name: "head lost", data: part("Content-Type: text/xml", "<JMF/>") + end, want: "boundary"},
		{
			name: "mixed",
			data: "Content-Type: multipart/mixed; boundary=b\n\n" + part("Content-ID: <a>", "x") + end,
			want: "not-related",
		},
		{name: "no multipart", data: "Content-Type: text/plain\n\nhello", want: "not-related"},
		{name: "type malformed", data: "Content-Type: multipart related\n\nhello", want: "header"},
		{
			name: "encoded as a whole",
			data: "Content-Type: multipart/related; boundary=b\nContent-Transfer-Encoding: base64\n\n",
			want: "transfer-encoding",
		},
		{name: "no closing boundary", data: head + part("Content-ID: <a>", "x"), want: "truncated"},
		{name: "nothing inside", data: head + end, want: "no-parts"},
		{
			name: "cid twice", data: head + part("Content-ID: <a>", "x") + part("Content-ID: <a>", "y") + end,
			want: "duplicate-id",
		},
		{name: "cid malformed", data: head + part("Content-ID: <a b>", "x") + end, want: "header"},
		{name: "line without colon", data: head + part("Content-ID", "x") + end, want: "header"},
		{name: "blank before colon", data: head + part("Content-ID : <a>", "x") + end, want: "header"},
		{name: "control character", data: head + part("Content-ID: <a\x01>", "x") + end, want: "header"},
		{name: "fold before field", data: head + part(" Content-ID: <a>", "x") + end, want: "header"},
		{name: "field twice", data: head + part("Content-ID: <a>\nContent-ID: <b>", "x") + end, want: "header"},
		{name: "boundary in header", data: head + "--b\nContent-ID: <a>\n" + end, want: "header"},
		{
			name: "header too large", data: head + part("X: "+strings.Repeat("x", 100), "x") + end,
			want: "header-too-large", lim: Limits{MaxHeader: 90},
		},
		{
			name: "message header too large",
			data: "MIME-Version: 1.0\nX: " + strings.Repeat("x", 200_000) + "\n" + head, want: "header-too-large",
		},
		{
			name: "unknown encoding", data: head + part("Content-Transfer-Encoding: uuencode", "x") + end,
			want: "transfer-encoding",
		},
		{
			name: "not base64", data: head + part("Content-Transfer-Encoding: base64", "a*==") + end,
			want: "part-damaged",
		},
		{
			name: "base64 cut off", data: head + part("Content-Transfer-Encoding: base64", "QQ") + end,
			want: "part-damaged",
		},
		{
			name: "base64 goes on after its end",
			data: head + part("Content-Transfer-Encoding: base64", "QQ==QQ==") + end, want: "part-damaged",
		},
		{
			name: "not quoted-printable",
			data: head + part("Content-Transfer-Encoding: quoted-printable", "a=zz") + end, want: "part-damaged",
		},
		{
			name: "start names nothing",
			data: strings.Replace(head, "=b", "=b; start=\"<z>\"", 1) + part("Content-ID: <a>", "x") + end,
			want: "start",
		},
		{
			name: "absolute name", data: head + part(`Content-Disposition: attachment; filename="/a"`, "x") + end,
			want: "unsafe-path",
		},
		{
			name: "name upwards", data: head + part(`Content-Disposition: attachment; filename="../a"`, "x") + end,
			want: "unsafe-path",
		},
		{
			name: "name with drive", data: head + part(`Content-Disposition: attachment; filename="C:a"`, "x") + end,
			want: "unsafe-path",
		},
		{
			name: "name with backslash",
			data: head + part(`Content-Disposition: attachment; filename="a\b"`, "x") + end, want: "unsafe-path",
		},
		{
			name: "name twice",
			data: head + part(
				`Content-Type: text/plain; name=a`, "x",
			) + part(`Content-Type: text/plain; name=A`, "x") + end,
			want: "duplicate-name",
		},
		{
			name: "too many parts", data: head + strings.Repeat(part("X: y", "x"), 3) + end, want: "too-many-parts",
			lim: Limits{MaxParts: 2},
		},
		{
			name: "part too large", data: head + part("X: y", "xxxxxxxx") + end, want: "part-too-large",
			lim: Limits{MaxPartBytes: 7},
		},
		{
			name: "base64 too large", data: head + part("Content-Transfer-Encoding: base64", "QUFBQUFB") + end,
			want: "part-too-large", lim: Limits{MaxPartBytes: 5},
		},
		{
			name: "total too large", data: head + strings.Repeat(part("X: y", "xxxxx"), 3) + end,
			want: "total-too-large", lim: Limits{MaxTotal: 9},
		},
		{name: "package too large", data: head, want: "too-large", lim: Limits{MaxBytes: 9}},
		{
			name: "nested", data: head + part("Content-Type: multipart/mixed; boundary=c", "--c\n\nx\n--c--") + end,
			want: "nested",
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			for _, data := range [][]byte{[]byte(c.data), crlf(c.data)} {
				_, problems := open(t, data, c.lim)
				require.Equal(t, c.want, codes(problems))
				require.NotEmpty(t, problems[0].Error())
			}
		})
	}
}

func TestRefusedPartIsFoundButNotOpened(t *testing.T) {
	data := crlf("Content-Type: multipart/related; boundary=b\n\n--b\nContent-ID: <a>\n" +
		"Content-Transfer-Encoding: x\n\nx\n--b--\n")
	p, problems := open(t, data, Limits{})
	require.Equal(t, "transfer-encoding", codes(problems))
	part, ok := p.Find(nil, "cid:a")
	require.True(t, ok)
	require.True(t, part.Refused())
	_, err := part.Open()
	require.ErrorIs(t, err, ErrRefused)
}

func TestBodyKeepsItsBytes(t *testing.T) {
	// A boundary that is a prefix of a line is no boundary, and only one line end belongs to it.
	for _, body := range []string{
		"", "\r", "\n", "\r\n", "--bx", "--b-", "a\n\n", strings.Repeat("x", 200_000),
		"--b" + strings.Repeat(" ", 70_000),
	} {
		data := "Content-Type: multipart/related; boundary=b\r\n\r\n--b\r\n" +
			"Content-Transfer-Encoding: binary\r\n\r\n" + body + "\r\n--b--"
		p, problems := open(t, []byte(data), Limits{})
		require.Empty(t, problems)
		require.Equal(t, body, read(t, p.Root))
	}
}

type broken struct{ at int64 }

func (b broken) ReadAt(p []byte, off int64) (int, error) {
	if off+int64(len(p)) > b.at {
		return 0, fs.ErrPermission
	}
	return copy(p, crlf(message)[off:]), nil
}

func TestSourceErrorsAreErrors(t *testing.T) {
	_, _, err := Open("x", broken{0}, int64(len(crlf(message))), Limits{})
	require.ErrorIs(t, err, fs.ErrPermission)
	size := int64(len(crlf(message)))
	data := zipOf(t, file("a", "x"))
	_, _, err = Open("x", &failLater{bytes.NewReader(data), 1}, int64(len(data)), Limits{})
	require.ErrorIs(t, err, fs.ErrPermission)
	_, _, err = Open("x", &failLater{bytes.NewReader(crlf(message)), 1}, size, Limits{})
	require.ErrorIs(t, err, fs.ErrPermission)
}

// failLater fails from the second read on.
type failLater struct {
	io.ReaderAt
	good int
}

func (f *failLater) ReadAt(p []byte, off int64) (int, error) {
	if f.good--; f.good < 0 {
		return 0, fs.ErrPermission
	}
	return f.ReaderAt.ReadAt(p, off)
}

func TestNoPackage(t *testing.T) {
	for _, data := range []string{
		"", "<JDF/>", "%PDF-1.4\nContent-Type: x", "\xef\xbb\xbf<JMF/>", "hello", "Subject: x\n\n",
	} {
		require.Equal(t, None, Sniff([]byte(data)), data)
		_, _, err := Open("x", strings.NewReader(data), int64(len(data)), Limits{})
		require.ErrorContains(t, err, "neither")
	}
}

func TestLocate(t *testing.T) {
	for _, c := range []struct {
		folder, url string
		want        Target
	}{
		{"", "a.pdf", Target{Reach: Inside, Path: "a.pdf"}},
		{".", "a%20b.pdf", Target{Reach: Inside, Path: "a b.pdf"}},
		{"x", "../a.pdf#page=1", Target{Reach: Inside, Path: "a.pdf"}},
		{"x", "a:b", Target{}},
		{"", "gr%C3%BCn.pdf", Target{Reach: Inside, Path: "grün.pdf"}},
		{"", "cid:a%40b", Target{Reach: ByID, Scheme: "cid", ID: "a@b"}},
		{"", "File:///a/b.pdf", Target{Reach: Local, Scheme: "file", Path: "/a/b.pdf"}},
		{"", "file://host/a", Target{Reach: Local, Scheme: "file", Host: "host", Path: "/a"}},
		{"", "file:a.pdf", Target{Reach: Local, Scheme: "file", Path: "a.pdf"}},
		{"", "https://a/b%zz", Target{Reach: Remote, Scheme: "https"}},
	} {
		got, err := Locate(c.folder, c.url)
		if c.want == (Target{}) {
			require.Error(t, err, c.url)
			continue
		}
		require.NoError(t, err, c.url)
		require.Equal(t, c.want, got, c.url)
	}
	for _, url := range []string{
		"../a", "a/../../b", "%2e%2e/a", "..%2fa", "/a", "//host/a", "%2Fa", "c:/a", `a\b`, "a%5Cb", "a%00b",
		"c%3A/a",
	} {
		_, err := Locate("", url)
		reference, ok := err.(*ReferenceError)
		require.True(t, ok, url)
		require.True(t, reference.Escape, url)
	}
	for _, url := range []string{"", " ", "a b.pdf", "a%2", "a%zz", "%ff", "a\tb", "#x"} {
		_, err := Locate("", url)
		reference, ok := err.(*ReferenceError)
		require.True(t, ok, url)
		require.False(t, reference.Escape, url)
	}
}

func TestWritersRefuse(t *testing.T) {
	for _, parts := range [][]*Part{
		{NewPart("../a", "", "", nil)},
		{NewPart("a", "", "", nil), NewPart("A", "", "", nil)},
		{NewPart("a", "x y", "", nil)},
		{NewPart("a", "x", "", nil), NewPart("b", "x", "", nil)},
	} {
		require.Error(t, WriteZIP(io.Discard, parts))
		require.Error(t, WriteMIME(io.Discard, parts))
	}
	require.Error(t, WriteZIP(io.Discard, []*Part{NewPart("", "x", "", nil)}))
	require.Error(t, WriteMIME(io.Discard, nil))
	require.Error(t, WriteMIME(io.Discard, []*Part{NewPart("a", "x", "text", nil)}))
	bare := NewPart("a", "x", "text/plain", []byte("a\nb"))
	bare.Encoding = "8bit"
	require.ErrorContains(t, WriteMIME(io.Discard, []*Part{bare}), "want base64")
	require.Error(t, WriteMIME(&errWriter{err: fs.ErrClosed}, []*Part{NewPart("a", "x", "", nil)}))
}
