package pack

import (
	"archive/zip"
	"bytes"
	"context"
	"fmt"
	"io"
	"io/fs"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// zipOf writes entries with names and modes as they are, which WriteZIP would not.
func zipOf(t testing.TB, entries ...*zip.FileHeader) []byte {
	t.Helper()
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for _, h := range entries {
		w, err := z.CreateHeader(h)
		require.NoError(t, err)
		if !strings.HasSuffix(h.Name, "/") {
			_, err = io.WriteString(w, h.Comment)
			require.NoError(t, err)
		}
	}
	require.NoError(t, z.Close())
	return out.Bytes()
}

func file(name, data string) *zip.FileHeader {
	return &zip.FileHeader{Name: name, Comment: data, Method: zip.Deflate}
}

func link(name, to string, mode fs.FileMode) *zip.FileHeader {
	h := file(name, to)
	h.SetMode(mode | 0o777)
	return h
}

func TestZIPProblems(t *testing.T) {
	big := strings.Repeat("0", 4<<20)
	encrypted := zipOf(t, file("a", "x"))
	encrypted[bytes.LastIndex(encrypted, []byte("PK\x01\x02"))+8] |= 1
	for _, c := range []struct {
		name, want string
		data       []byte
		lim        Limits
	}{
		{name: "absolute", want: "unsafe-path", data: zipOf(t, file("/a", "x"))},
		{name: "upwards", want: "unsafe-path", data: zipOf(t, file("x/../../a", "x"))},
		{name: "drive", want: "unsafe-path", data: zipOf(t, file("c:/a", "x"))},
		{name: "backslash", want: "unsafe-path", data: zipOf(t, file(`a\b`, "x"))},
		{name: "NUL", want: "unsafe-path", data: zipOf(t, file("a\x00.pdf", "x"))},
		{name: "dot", want: "unsafe-path", data: zipOf(t, file("./a", "x"))},
		{name: "empty step", want: "unsafe-path", data: zipOf(t, file("a//b", "x"))},
		{
			name: "not UTF-8", want: "unsafe-path",
			data: zipOf(t, &zip.FileHeader{Name: "a\xff", NonUTF8: true, Comment: "x"}),
		},
		{name: "folder upwards", want: "unsafe-path", data: zipOf(t, file("../", ""))},
		{name: "twice", want: "duplicate-name", data: zipOf(t, file("a", "x"), file("a", "y"))},
		{name: "twice but for case", want: "duplicate-name", data: zipOf(t, file("Ä.pdf", "x"), file("ä.PDF", "y"))},
		{name: "link", want: "link", data: zipOf(t, link("a", "/etc/passwd", fs.ModeSymlink))},
		{name: "device", want: "link", data: zipOf(t, link("a", "", fs.ModeDevice))},
		{name: "encrypted", want: "encrypted", data: encrypted},
		{
			name: "too many parts", want: "too-many-parts",
			data: zipOf(t, file("a", ""), file("b", ""), file("c", "")), lim: Limits{MaxParts: 2},
		},
		{name: "bomb", want: "bomb", data: zipOf(t, file("a", big))},
		{
			name: "part too large", want: "part-too-large", data: zipOf(t, file("a", "xxxxxxxx")),
			lim: Limits{MaxPartBytes: 7},
		},
		{
			name: "total too large", want: "total-too-large",
			data: zipOf(t, file("a", "xxxxx"), file("b", "xxxxx"), file("c", "xxxxx")), lim: Limits{MaxTotal: 9},
		},
		{name: "nested", want: "nested", data: zipOf(t, file("a.zip", string(zipOf(t, file("a", "x")))))},
		{name: "empty", want: "no-parts", data: zipOf(t)},
		{name: "cut off", want: "damaged", data: zipOf(t, file("a", "x"))[:20]},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, problems := open(t, c.data, c.lim)
			require.Equal(t, c.want, codes(problems))
		})
	}
}

func TestZIPFoldersAreNoParts(t *testing.T) {
	p, problems := open(t, zipOf(t, file("art/", ""), file("art/a.pdf", "x")), Limits{})
	require.Empty(t, problems)
	require.Len(t, p.Parts, 1)
	part, ok := p.Find(&Part{Name: "tickets/job.xjdf"}, "../art/a.pdf")
	require.True(t, ok)
	require.Equal(t, "x", read(t, part))
	_, ok = p.Find(nil, "cid:art/a.pdf")
	require.False(t, ok)
}

func TestZIPMethod(t *testing.T) {
	data := zipOf(t, file("a", "x"))
	at := bytes.LastIndex(data, []byte("PK\x01\x02"))
	data[at+10] = 14
	_, problems := open(t, data, Limits{})
	require.Equal(t, "method", codes(problems))
	require.Equal(t, "LZMA", problems[0].Got)
}

func TestZIPSharedBytes(t *testing.T) {
	data := zipOf(t, file("a", "xyz"), file("b", "xyz"))
	second := bytes.LastIndex(data, []byte("PK\x01\x02"))
	copy(data[second+42:], make([]byte, 4)) // the second entry leads to the first one's header
	_, problems := open(t, data, Limits{})
	require.Equal(t, "bomb", codes(problems))
}

func TestZIPLyingSizes(t *testing.T) {
	data := zipOf(t, file("a", strings.Repeat("x", 1000)))
	at := bytes.LastIndex(data, []byte("PK\x01\x02"))
	copy(data[at+24:], []byte{10, 0, 0, 0})
	p, problems := open(t, data, Limits{})
	require.Empty(t, problems)
	found, err := p.Verify(context.Background())
	require.NoError(t, err)
	require.Equal(t, "part-damaged", codes(found))
}

func TestZIPBadSum(t *testing.T) {
	data := zipOf(t, &zip.FileHeader{Name: "a", Comment: "hello", Method: zip.Store})
	data[bytes.Index(data, []byte("hello"))] = 'j'
	p, _ := open(t, data, Limits{})
	found, err := p.Verify(context.Background())
	require.NoError(t, err)
	require.Equal(t, "part-damaged", codes(found))
	require.Same(t, p.Parts[0], found[0].Part)
}

func TestZIPHugeDirectory(t *testing.T) {
	var many []*zip.FileHeader
	for i := range 20_000 {
		many = append(many, file(fmt.Sprint(i), ""))
	}
	_, problems := open(t, zipOf(t, many...), Limits{MaxParts: 3})
	require.Equal(t, "too-many-parts", codes(problems))
}
