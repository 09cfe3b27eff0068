package plan

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/validate/plant"
)

// drawn is what a picture says: its texts, and whether all of it lies on its page.
func drawn(t *testing.T, picture []byte) []string {
	t.Helper()
	var texts []string
	var wide, high float64
	dec := xml.NewDecoder(bytes.NewReader(picture))
	inText := false
	for {
		token, err := dec.Token()
		if errors.Is(err, io.EOF) {
			return texts
		}
		require.NoError(t, err)
		switch e := token.(type) {
		case xml.StartElement:
			inText = e.Name.Local == "text"
			for _, a := range e.Attr {
				switch {
				case e.Name.Local == "svg" && a.Name.Local == "viewBox":
					box := strings.Fields(a.Value)
					wide, high = float(t, box[2]), float(t, box[3])
				case strings.HasPrefix(a.Name.Local, "x") && e.Name.Local != "svg" && e.Name.Local != "pattern":
					at := float(t, a.Value)
					require.True(t, at >= 0 && at <= wide, "%s %s of %f", e.Name.Local, a.Value, wide)
				case strings.HasPrefix(a.Name.Local, "y"):
					at := float(t, a.Value)
					require.True(t, at >= 0 && at <= high, "%s %s of %f", e.Name.Local, a.Value, high)
				}
			}
		case xml.CharData:
			if inText {
				texts = append(texts, string(e))
			}
		case xml.EndElement:
			inText = false
		}
	}
}

func float(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return v
}

// TestPicture pins the picture of the leaflet's sheet.
func TestPicture(t *testing.T) {
	var got bytes.Buffer
	require.NoError(t, SVG(&got, made(t, ticket(t, "leaflet.xjdf"), saltmarsh(t)), "S1"))
	golden := filepath.Join("testdata", "leaflet.svg")
	if *update {
		require.Empty(t, os.Getenv("CI"), "golden files are not rewritten in CI")
		require.NoError(t, os.WriteFile(golden, got.Bytes(), 0o644))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err)
	require.Equal(t, string(want), got.String())
}

// TestPictures draws every sheet of random jobs: well-formed, on its page, each
// piece with its number, each cut with its number.
func TestPictures(t *testing.T) {
	p := saltmarsh(t)
	rng := rand.New(rand.NewPCG(9, 1))
	drawings := 0
	for range 60 {
		pl, _ := Make(randomJob(rng, p), p, Options{})
		if pl == nil {
			continue
		}
		for _, s := range pl.Sheets {
			var out bytes.Buffer
			require.NoError(t, SVG(&out, pl, s.Name))
			texts := drawn(t, out.Bytes())
			for i := range s.Positions {
				require.Contains(t, texts, strconv.Itoa(i+1))
			}
			require.Contains(t, texts, "gripper "+s.Margins.Lead.String())
			in := insideOf(pl, s, s.Turned)
			require.Equal(t, s.Section > 0, len(in.pages) > 0)
			requireInside(t, s, in)
			drawings++
		}
	}
	require.Greater(t, drawings, 40)
}

// requireInside: the pages of a piece lie within it, none over another, and as
// many as the fold has.
func requireInside(t *testing.T, s *Sheet, in inside) {
	t.Helper()
	if s.Section > 0 {
		require.Len(t, in.pages, s.PiecePages/2)
	}
	for i, b := range in.pages {
		require.True(t, b.X >= 0 && b.Y >= 0 && b.X+b.Width <= s.Piece.Width && b.Y+b.Height <= s.Piece.Height,
			"%v in %s", b, s.Piece)
		for _, o := range in.pages[i+1:] {
			require.True(t, b.X+b.Width <= o.X || o.X+o.Width <= b.X || b.Y+b.Height <= o.Y || o.Y+o.Height <= b.Y)
		}
	}
	for _, f := range in.folds {
		require.True(t, min(f.X1, f.Y1) >= 0 && f.X2 <= s.Piece.Width && f.Y2 <= s.Piece.Height, "%v in %s", f, s.Piece)
	}
}

// TestPictureEscapes: names of the ticket can not break out of the picture.
func TestPictureEscapes(t *testing.T) {
	j := flatJob(148, 210, 500, []string{"Black"}, nil)
	j.Name = given(`</text><script>alert("x")</script> & Söhne`)
	pl := made(t, j, tinyPlant())
	var out bytes.Buffer
	require.NoError(t, SVG(&out, pl, "S1"))
	require.NotContains(t, out.String(), "<script")
	require.Contains(t, strings.Join(drawn(t, out.Bytes()), "\n"), "Söhne")
	require.ErrorContains(t, SVG(&out, pl, "S9"), `draw sheet "S9"`)
	require.ErrorContains(t, SVG(full{}, pl, "S1"), "write picture: disk full")
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("disk full") }

// TestInside: an A5 section of eight pages has its spines between the columns,
// pages apart by trims at head and foot.
func TestInside(t *testing.T) {
	a5 := size(148, 210)
	s := &Sheet{
		Section: 1, Fold: "F8-7", FoldGrid: [2]int{2, 2}, PiecePages: 8, Trim: 3 * mm, Lap: 8 * mm,
		Piece: Format(sectionSize(a5, 2, 2, 3*mm, 8*mm, 0)),
	}
	in := insideOf(&Plan{Finished: Format(a5)}, s, s.Turned)
	require.Equal(t, []Box{
		{X: 3 * mm, Y: 3 * mm, Width: 148 * mm, Height: 210 * mm},
		{X: 151 * mm, Y: 3 * mm, Width: 148 * mm, Height: 210 * mm},
		{X: 3 * mm, Y: 219 * mm, Width: 148 * mm, Height: 210 * mm},
		{X: 151 * mm, Y: 219 * mm, Width: 148 * mm, Height: 210 * mm},
	}, in.pages)
	require.Equal(t, []Line{{151 * mm, 0, 151 * mm, 432 * mm}, {0, 216 * mm, 310 * mm, 216 * mm}}, in.folds)
	s.Turned, s.Piece = true, Format(plant.Size(s.Piece).Turned())
	requireInside(t, s, insideOf(&Plan{Finished: Format(a5)}, s, s.Turned))
}
