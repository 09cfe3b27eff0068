package plan

import (
	"encoding/xml"
	"fmt"
	"io"
	"strings"
)

// drawing is a picture in millimetres of the paper that it is printed on, with
// its origin above left.
type drawing struct {
	wide, high float64
	body       strings.Builder
}

// The strokes of a drawing: kinds of line differ by their pattern and weight.
const (
	strokeSheet = `stroke="#000" stroke-width="0.5"`
	strokeCut   = `stroke="#000" stroke-width="0.2"`
	strokeTrim  = `stroke="#000" stroke-width="0.35"`
	strokePage  = `stroke="#555" stroke-width="0.15"`
	strokeBleed = `stroke="#555" stroke-width="0.2" stroke-dasharray="0.9 0.9"`
	strokeFold  = `stroke="#000" stroke-width="0.3" stroke-dasharray="3 0.8 0.6 0.8"`
	strokeLimit = `stroke="#777" stroke-width="0.15" stroke-dasharray="0.3 0.8"`
)

func (d *drawing) line(x1, y1, x2, y2 float64, stroke string) {
	fmt.Fprintf(&d.body, `<line x1="%.2f" y1="%.2f" x2="%.2f" y2="%.2f" %s/>`+"\n", x1, y1, x2, y2, stroke)
}

func (d *drawing) rect(x, y, w, h float64, stroke, fill string) {
	fmt.Fprintf(&d.body, `<rect x="%.2f" y="%.2f" width="%.2f" height="%.2f" fill="%s" %s/>`+"\n",
		x, y, w, h, fill, stroke)
}

func (d *drawing) shape(points string) {
	fmt.Fprintf(&d.body, `<polygon points="%s" fill="#000"/>`+"\n", points)
}

// text writes words at a point: anchor is start, middle or end, size the height
// of the letters in millimetres. Words are escaped. With plate they stand on
// white, so that lines behind them do not cross them.
func (d *drawing) text(x, y, size float64, anchor, words string, plate bool) {
	halo := ""
	if plate {
		halo = ` stroke="#fff" stroke-width="1.2" paint-order="stroke"`
	}
	fmt.Fprintf(&d.body, `<text x="%.2f" y="%.2f" font-size="%.2f" text-anchor="%s"%s>%s</text>`+"\n",
		x, y, size, anchor, halo, escaped(words))
}

// textWide is about as wide as words are in the typeface of a drawing.
func textWide(words string, size float64) float64 { return 0.56 * size * float64(len([]rune(words))) }

func escaped(words string) string {
	var out strings.Builder
	// A Builder takes all that is written.
	_ = xml.EscapeText(&out, []byte(words))
	return out.String()
}

// write writes the drawing as a whole document with a title for readers that do
// not see it.
func (d *drawing) write(w io.Writer, title string) error {
	var out strings.Builder
	fmt.Fprintf(&out, `<svg xmlns="http://www.w3.org/2000/svg" width="%.1fmm" height="%.1fmm" viewBox="0 0 %.2f %.2f" `+
		`font-family="Liberation Sans, DejaVu Sans, Arial, sans-serif" role="img">`+"\n", d.wide, d.high, d.wide, d.high)
	fmt.Fprintf(&out, "<title>%s</title>\n", escaped(title))
	out.WriteString(`<defs><pattern id="grip" width="1.6" height="1.6" patternUnits="userSpaceOnUse" ` +
		`patternTransform="rotate(45)"><line x1="0" y1="0" x2="0" y2="1.6" stroke="#000" stroke-width="0.3"/>` +
		"</pattern></defs>\n")
	fmt.Fprintf(&out, `<rect width="%.2f" height="%.2f" fill="#fff"/>`+"\n", d.wide, d.high)
	out.WriteString(d.body.String())
	out.WriteString("</svg>\n")
	if _, err := io.WriteString(w, out.String()); err != nil {
		return fmt.Errorf("write picture: %w", err)
	}
	return nil
}
