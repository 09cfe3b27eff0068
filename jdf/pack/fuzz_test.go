package pack

import (
	"archive/zip"
	"bytes"
	"io"
	"path"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

var fuzzLimits = Limits{MaxParts: 50, MaxPartBytes: mib, MaxTotal: 4 * mib, MaxHeader: 4 * kib}

// explore holds a package against what Open promises, whatever the bytes.
func explore(t *testing.T, data []byte) {
	p, problems, err := Open("fuzz", bytes.NewReader(data), int64(len(data)), fuzzLimits)
	if err != nil {
		require.Nil(t, p)
		return
	}
	require.LessOrEqual(t, len(p.Parts), fuzzLimits.MaxParts)
	damaged := 0
	for _, part := range p.Parts {
		if part.Refused() {
			_, err := part.Open()
			require.ErrorIs(t, err, ErrRefused)
			continue
		}
		if part.Name != "" {
			require.Empty(t, unsafeName(part.Name))
			require.False(t, path.IsAbs(part.Name) || strings.HasPrefix(path.Clean(part.Name), ".."))
		}
		require.LessOrEqual(t, part.Size, fuzzLimits.MaxPartBytes)
		r, err := part.Open()
		if err != nil {
			damaged++
			continue
		}
		n, err := io.Copy(io.Discard, r)
		require.LessOrEqual(t, n, fuzzLimits.MaxPartBytes)
		if err != nil {
			damaged++
		} else {
			require.Equal(t, part.Size, n)
		}
		_ = r.Close() // compress/flate tells damage here once more
	}
	if len(problems) == 0 && damaged == 0 {
		rewrite(t, p)
	}
}

// rewrite writes what was read and reads it once more.
func rewrite(t *testing.T, p *Package) {
	write := WriteZIP
	if p.Format == MIME {
		write = WriteMIME
	}
	var out bytes.Buffer
	if err := write(&out, p.Parts); err != nil {
		return // such as an odd media type, which the writer does not take
	}
	again, problems := open(t, out.Bytes(), fuzzLimits)
	require.Empty(t, problems)
	require.Len(t, again.Parts, len(p.Parts))
	for i, part := range again.Parts {
		require.Equal(t, p.Parts[i].Name, part.Name)
		require.Equal(t, p.Parts[i].ID, part.ID)
		require.Equal(t, read(t, p.Parts[i]), read(t, part))
	}
}

func FuzzMIME(f *testing.F) {
	f.Add(crlf(message))
	f.Add([]byte(message))
	f.Add(crlf("Content-Type: multipart/related; boundary=b; start=\"<a>\"\n\n--b\nContent-ID: <a>\n\nx\n--b\n\n\n--b--"))
	f.Add(crlf("Content-Type: multipart/related; boundary=b\n\n--b\nContent-Transfer-Encoding: quoted-printable\n" +
		"\na=\n=3D \n--b--"))
	f.Add([]byte("--b\nContent-Type: text/xml\n\nx\n--b--"))
	f.Fuzz(explore)
}

func FuzzZIP(f *testing.F) {
	f.Add(zipOf(f, file("job.xjdf", "<XJDF/>"), file("art/", ""), file("art/a.pdf", "%PDF-1.4")))
	f.Add(zipOf(f, file("../a", "x"), file("a", "x"), file("A", "y")))
	f.Add(zipOf(f, &zip.FileHeader{Name: "a", Comment: "stored", Method: zip.Store}))
	f.Add(zipOf(f, link("a", "b", 1<<27)))
	f.Add(zipOf(f))
	f.Fuzz(explore)
}
