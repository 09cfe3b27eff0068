//go:build !checker

package render_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/render"
)

// elements calls visit for each start tag of a page, which has to be
// well-formed as XML too.
func elements(t *testing.T, page string, visit func(xml.StartElement)) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(page))
	count := 0
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err)
		if start, ok := token.(xml.StartElement); ok {
			count++
			visit(start)
		}
	}
	require.Greater(t, count, 10)
}

func TestPageAsksForNothing(t *testing.T) {
	for name, r := range reports(t) {
		page := written(t, "report.html", r)
		ids, links := map[string]bool{}, []string{}
		elements(t, page, func(e xml.StartElement) {
			require.NotContains(t, []string{"script", "link", "img", "iframe", "object", "embed", "base", "form"}, e.Name.Local)
			for _, a := range e.Attr {
				require.NotEqual(t, "src", a.Name.Local)
				require.NotEqual(t, "style", a.Name.Local)
				require.False(t, strings.HasPrefix(a.Name.Local, "on"), a.Name.Local)
				switch a.Name.Local {
				case "href":
					require.True(t, strings.HasPrefix(a.Value, "#"), a.Value)
					links = append(links, a.Value[1:])
				case "id":
					require.False(t, ids[a.Value], "id %s twice", a.Value)
					ids[a.Value] = true
				}
			}
		})
		for _, link := range links {
			require.True(t, ids[link], "%s: link to %s", name, link)
		}
		style, _, _ := strings.Cut(page, "</style>")
		require.NotContains(t, style, "url(")
		require.NotContains(t, style, "@import")
	}
}

func TestPageHoldsNoMarkupOfTheTicket(t *testing.T) {
	evil := `</pre><script>alert(1)</script><img src=x onerror=alert(1)>`
	rule := *raw
	rule.Why = evil
	r := validate.NewReport(0)
	src := jdf.NewSource(evil, evil)
	f := rule.At(jdf.PlaceAt(src, 0, len(evil), evil), validate.F("got", evil), validate.F("want", evil))
	r.Add(f.With(jdf.PlaceAt(src, 0, 1, evil), evil))
	f.Silenced = &validate.Silence{Reason: evil, Place: jdf.PlaceAt(src, 0, 1, evil)}
	r.Add(f)
	var out bytes.Buffer
	require.NoError(t, render.HTML(&out, r, render.Page{Title: evil}))
	require.NotContains(t, out.String(), "<script")
	require.NotContains(t, out.String(), "<img")
	elements(t, out.String(), func(xml.StartElement) {})
}

func TestPageTellsStatesByWords(t *testing.T) {
	of := func(files int, findings ...validate.Finding) string {
		r := validate.NewReport(0)
		r.Files = files
		for _, f := range findings {
			r.Add(f)
		}
		return written(t, "report.html", r)
	}
	require.Contains(t, of(0), "Nothing was checked")
	require.Contains(t, of(1), "✓</span> Nothing found that would have to be mended")
	require.Contains(t, of(1, lateProof.At(jdf.Place{})), "○</span> Fit for use, with notes")
	require.Contains(t, of(1, unused.At(jdf.Place{})), "▲</span> Fit for use, with warnings")
	require.Contains(t, of(1, wrongType.At(jdf.Place{})), "■</span> Not fit for use")
	require.Contains(t, of(1, wrongType.At(jdf.Place{})), "■</span> error</span>")
}

func TestPageTitleByDefault(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, render.HTML(&out, validate.NewReport(0), render.Page{}))
	require.Contains(t, out.String(), "<title>Ticket report</title>")
	require.NotContains(t, out.String(), "Checked")
}

// Source: WCAG 2.2, success criterion 1.4.3 (4.5 to 1), and its definitions of
// contrast ratio and relative luminance.
func TestPageContrast(t *testing.T) {
	page := written(t, "report.html", sample(t))
	schemes := regexp.MustCompile(`:root \{([^}]*)\}`).FindAllStringSubmatch(page, -1)
	require.Len(t, schemes, 3, "light, dark, print")
	for _, scheme := range schemes {
		colours := map[string]float64{}
		for _, m := range regexp.MustCompile(`--([a-z-]+): #([0-9a-f]{6});`).FindAllStringSubmatch(scheme[1], -1) {
			colours[m[1]] = luminance(t, m[2])
		}
		require.Len(t, colours, 11)
		for _, pair := range [][2]string{
			{"ink", "paper"}, {"ink", "card"}, {"faint", "paper"}, {"faint", "card"}, {"mark-ink", "mark"},
			{"error", "card"}, {"warning", "card"}, {"note", "card"}, {"clean", "card"},
		} {
			a, b := colours[pair[0]], colours[pair[1]]
			require.GreaterOrEqual(t, (max(a, b)+0.05)/(min(a, b)+0.05), 4.5, "%v in %s", pair, scheme[1])
		}
	}
}

func luminance(t *testing.T, hex string) float64 {
	t.Helper()
	sum := 0.0
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		v, err := strconv.ParseUint(hex[2*i:2*i+2], 16, 8)
		require.NoError(t, err)
		c := float64(v) / 255
		if c <= 0.04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+0.055)/1.055, 2.4)
		}
		sum += weight * c
	}
	return sum
}
