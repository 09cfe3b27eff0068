package packages_test

import (
	"bytes"
	"compress/zlib"
	"context"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/validate/packages"
	"quoin/validate/packages/pdf"
)

// node is a page, or with kids a node of the page tree, to be written.
type node struct {
	entries string // such as /MediaBox [0 0 10 10]
	kids    []node
}

func (n node) count() int {
	if n.kids == nil {
		return 1
	}
	sum := 0
	for _, k := range n.kids {
		sum += k.count()
	}
	return sum
}

// writePDF writes a PDF by hand, with a table of references.
func writePDF(version string, root node) []byte {
	objects := []string{"", "<< /Type /Catalog /Pages 2 0 R >>"}
	var add func(n node, parent int) int
	add = func(n node, parent int) int {
		number := len(objects)
		objects = append(objects, "")
		up := ""
		if parent > 0 {
			up = fmt.Sprintf(" /Parent %d 0 R", parent)
		}
		if n.kids == nil {
			objects[number] = fmt.Sprintf("<< /Type /Page%s %s >>", up, n.entries)
			return number
		}
		var refs []string
		for _, k := range n.kids {
			refs = append(refs, fmt.Sprintf("%d 0 R", add(k, number)))
		}
		objects[number] = fmt.Sprintf("<< /Type /Pages%s /Count %d /Kids [%s] %s >>",
			up, n.count(), strings.Join(refs, " "), n.entries)
		return number
	}
	add(root, 0)
	return assemble(version, objects)
}

// assemble writes objects, of which number 0 is none, and the table of them.
func assemble(version string, objects []string) []byte {
	var out bytes.Buffer
	fmt.Fprintf(&out, "%%PDF-%s\n%%\xe2\xe3\xcf\xd3\n", version)
	offsets := make([]int, len(objects))
	for i := 1; i < len(objects); i++ {
		offsets[i] = out.Len()
		fmt.Fprintf(&out, "%d 0 obj\n%s\nendobj\n", i, objects[i])
	}
	table := out.Len()
	fmt.Fprintf(&out, "xref\n0 %d\n0000000000 65535 f \n", len(objects))
	for _, at := range offsets[1:] {
		fmt.Fprintf(&out, "%010d 00000 n \n", at)
	}
	fmt.Fprintf(&out, "trailer\n<< /Size %d /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n", len(objects), table)
	return out.Bytes()
}

func readPDF(t *testing.T, data []byte) *packages.PDF {
	t.Helper()
	p, err := pdf.Reader{}.Read(context.Background(), bytes.NewReader(data))
	require.NoError(t, err)
	return p
}

// guarded reads a PDF as a check does, which lets no panic through.
func guarded(data []byte) (*packages.PDF, error) {
	return packages.Guarded(context.Background(), pdf.Reader{}, 30*time.Second, data)
}

func box(llx, lly, urx, ury float64) packages.Box {
	return packages.Box{LLX: llx, LLY: lly, URX: urx, URY: ury}
}

// Source: ISO 32000-2, sections 7.7.3.3, 7.7.3.4 and 14.11.2.
func TestPDFBoxes(t *testing.T) {
	p := readPDF(t, writePDF("1.7", node{entries: "/MediaBox [0 0 200 100] /Rotate 90", kids: []node{
		{entries: "/MediaBox [0 0 300 400] /CropBox [10 10 290 390] /Rotate 0"},
		{entries: ""},
		{entries: "/TrimBox [190 90 10 20] /BleedBox [5 15 195 95]"},
		{entries: "/CropBox [20 0 200 100] /UserUnit 2 /Rotate 270", kids: []node{
			{entries: "/UserUnit 2 /Rotate 180 /TrimBox [30 10 100 90]"},
			{entries: "/Rotate -90 /TrimBox [30 10 100 90]"},
		}},
	}}))
	require.Equal(t, "1.7", p.Version)
	require.Len(t, p.Pages, 5)

	require.Equal(t, box(10, 10, 290, 390), p.Pages[0].Trim, "without TrimBox it is the CropBox")
	require.False(t, p.Pages[0].HasTrim)
	require.Equal(t, box(0, -200, 100, 0), p.Pages[1].Media, "a page does not take over what its neighbour has")
	require.Equal(t, p.Pages[1].Media, p.Pages[1].Bleed)

	require.True(t, p.Pages[2].HasTrim)
	require.Equal(t, box(20, -190, 90, -10), p.Pages[2].Trim, "corners in any order, turned clockwise")
	require.EqualValues(t, 70, p.Pages[2].Trim.Width())
	require.EqualValues(t, 180, p.Pages[2].Trim.Height())

	require.Equal(t, box(-400, -200, -40, 0), p.Pages[3].Crop, "the unit of a page doubles its boxes")
	require.EqualValues(t, 140, p.Pages[3].Trim.Width())
	require.EqualValues(t, 80, p.Pages[4].Trim.Width(), "a unit is not inherited, and -90 is 270")
}

// object streams and reference streams hold what newer writers make.
func TestPDFWithStreams(t *testing.T) {
	var packed bytes.Buffer
	z := zlib.NewWriter(&packed)
	inner := []string{"<< /Type /Catalog /Pages 2 0 R >>", "<< /Type /Pages /Count 1 /Kids [3 0 R] >>",
		"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 50 60] >>"}
	head, body := "", ""
	for i, o := range inner {
		head += fmt.Sprintf("%d %d ", i+1, len(body))
		body += o + " "
	}
	_, err := io.WriteString(z, head+body)
	require.NoError(t, err)
	require.NoError(t, z.Close())
	var out bytes.Buffer
	out.WriteString("%PDF-2.0\n%\xe2\xe3\xcf\xd3\n")
	stream := out.Len()
	fmt.Fprintf(&out, "4 0 obj\n<< /Type /ObjStm /N 3 /First %d /Filter /FlateDecode /Length %d >>\n"+
		"stream\n%s\nendstream\nendobj\n",
		len(head), packed.Len(), packed.Bytes())
	table := out.Len()
	rows := []byte{
		0, 0, 0, 0, 2, 0, 4, 0, 2, 0, 4, 1, 2, 0, 4, 2, 1, byte(stream >> 8), byte(stream), 0, 1, byte(table >> 8),
		byte(table), 0,
	}
	fmt.Fprintf(&out, "5 0 obj\n<< /Type /XRef /Size 6 /W [1 2 1] /Root 1 0 R /Length %d >>\n"+
		"stream\n%s\nendstream\nendobj\nstartxref\n%d\n%%%%EOF\n",
		len(rows), rows, table)
	p := readPDF(t, out.Bytes())
	require.Equal(t, "2.0", p.Version)
	require.Equal(t, box(0, 0, 50, 60), p.Pages[0].Media)
}

func TestHostilePDFs(t *testing.T) {
	page := "<< /Type /Page /Parent 2 0 R /MediaBox [0 0 1 1] >>"
	for name, objects := range map[string][]string{
		"a page tree in a ring": {
			"", "<< /Type /Catalog /Pages 2 0 R >>", "<< /Type /Pages /Count 1 /Kids [2 0 R] >>",
		},
		"a page listed twice": {
			"", "<< /Type /Catalog /Pages 2 0 R >>", "<< /Type /Pages /Count 2 /Kids [3 0 R 3 0 R] >>", page,
		},
		"a box in a ring": {
			"", "<< /Type /Catalog /Pages 2 0 R >>", "<< /Type /Pages /Count 1 /Kids [3 0 R] /MediaBox 4 0 R >>",
			"<< /Type /Page >>", "4 0 R",
		},
		"a box of words": {
			"", "<< /Type /Catalog /Pages 2 0 R >>",
			"<< /Type /Pages /Count 1 /Kids [3 0 R] /MediaBox [/a /b /c /d] >>", "<< /Type /Page >>",
		},
		"a box of three": {
			"", "<< /Type /Catalog /Pages 2 0 R >>", "<< /Type /Pages /Count 1 /Kids [3 0 R] /MediaBox [0 0 1] >>",
			"<< /Type /Page >>",
		},
		"no box": {
			"", "<< /Type /Catalog /Pages 2 0 R >>", "<< /Type /Pages /Count 1 /Kids [3 0 R] >>",
			"<< /Type /Page >>",
		},
		"no pages":               {"", "<< /Type /Catalog >>"},
		"a kid that is a number": {"", "<< /Type /Catalog /Pages 2 0 R >>", "<< /Type /Pages /Count 1 /Kids [7] >>"},
		"a unit of nothing": {
			"", "<< /Type /Catalog /Pages 2 0 R >>", "<< /Type /Pages /Count 1 /Kids [3 0 R] /MediaBox [0 0 1 1] >>",
			"<< /Type /Page /UserUnit 0 >>",
		},
		"lists nested very deep": {
			"", "<< /Type /Catalog /Pages 2 0 R >>", "<< /Kids " + strings.Repeat("[", 100_000) + " >>",
		},
		"a tree nested very deep": deepTree(200),
	} {
		t.Run(name, func(t *testing.T) {
			_, err := guarded(assemble("1.4", objects))
			require.Error(t, err)
		})
	}
	for name, data := range map[string]string{
		"nothing but a head": "%PDF-1.4\n", "cut off": string(writePDF(
			"1.4", node{entries: "/MediaBox [0 0 1 1]"},
		)[:60]),
	} {
		t.Run(name, func(t *testing.T) {
			_, err := guarded([]byte(data))
			require.Error(t, err)
		})
	}
}

func deepTree(depth int) []string {
	objects := []string{"", "<< /Type /Catalog /Pages 2 0 R >>"}
	for i := range depth {
		objects = append(objects, fmt.Sprintf("<< /Type /Pages /Count 1 /Kids [%d 0 R] >>", i+3))
	}
	return append(objects, "<< /Type /Page /MediaBox [0 0 1 1] >>")
}

// A stream that unpacks to a thousand times its size is not unpacked for the boxes.
func TestPDFBomb(t *testing.T) {
	var packed bytes.Buffer
	z := zlib.NewWriter(&packed)
	for range 200 {
		_, err := z.Write(make([]byte, 1<<20))
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	objects := []string{"", "<< /Type /Catalog /Pages 2 0 R >>", "<< /Type /Pages /Count 1 /Kids [3 0 R] >>",
		"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 1 1] /Contents 4 0 R >>",
		fmt.Sprintf("<< /Length %d /Filter /FlateDecode >>\nstream\n%s\nendstream", packed.Len(), packed.Bytes()),
		fmt.Sprintf(
			"<< /Type /ObjStm /N 1 /First 4 /Length %d /Filter /FlateDecode >>\nstream\n%s\nendstream", packed.Len(),
			packed.Bytes(),
		)}
	p, err := guarded(assemble("1.5", objects[:5]))
	require.NoError(t, err)
	require.Len(t, p.Pages, 1)
	start := time.Now()
	_, _ = guarded(assemble("1.5", objects))
	require.Less(t, time.Since(start), 10*time.Second)
}

func FuzzPDF(f *testing.F) {
	f.Add(writePDF(
		"1.7",
		node{entries: "/MediaBox [0 0 200 100] /Rotate 90", kids: []node{{entries: "/TrimBox [1 2 3 4]"}, {}}},
	))
	f.Add(assemble("1.4", deepTree(3)))
	f.Fuzz(func(t *testing.T, data []byte) {
		if p, err := packages.Guarded(context.Background(), pdf.Reader{}, 5*time.Second, data); err == nil {
			require.NotNil(t, p)
			require.LessOrEqual(t, len(p.Pages), 100_000)
		}
	})
}
