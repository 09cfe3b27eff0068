//go:build !checker

package render_test

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/render"
)

func text(t *testing.T, r *validate.Report, style render.Style) string {
	t.Helper()
	var out strings.Builder
	require.NoError(t, render.Text(&out, r, style))
	return out.String()
}

func TestTextGolden(t *testing.T) {
	golden(t, "report.txt", text(t, sample(t), render.Style{}))
	golden(t, "report-narrow-colour.txt", text(t, sample(t), render.Style{Color: true, Width: 60}))
}

// one is a report of one finding at the bytes of a text that mark encloses.
func one(source, mark string) *validate.Report {
	start := strings.Index(source, mark)
	r := validate.NewReport(0)
	r.Files = 1
	r.Add(unused.At(jdf.PlaceAt(jdf.NewSource("a.jdf", source), start, start+len(mark), ""), validate.F("id", "x")))
	return r
}

// Source: Unicode Standard Annex #11: the ideographs, syllables and full-width
// letters below are W or F, two columns each; the others are one or none.
func TestMarkIsUnderTheStretch(t *testing.T) {
	for _, c := range []struct {
		name, source, mark, line, caret string
	}{
		{"plain", "<a b='bad'/>", "bad", "   1 | <a b='bad'/>", "     |       ^^^"},
		{"umlauts", "<ä ö='böse'/>", "böse", "   1 | <ä ö='böse'/>", "     |       ^^^^"},
		{"ideographs", "<b='日本' c='本語'/>", "本語", "   1 | <b='日本' c='本語'/>", "     |              ^^^^"},
		{"syllables", "<a b='한국' c='x'/>", "x'", "   1 | <a b='한국' c='x'/>", "     |                ^^"},
		{"full width", "ＡＢ bad", "bad", "   1 | ＡＢ bad", "     |      ^^^"},
		{"emoji", "🖨 🚀 bad", "bad", "   1 | 🖨 🚀 bad", "     |      ^^^"},
		{"combining", "e\u0301e\u0301 ba\u0308d", "ba\u0308d", "   1 | e\u0301e\u0301 ba\u0308d", "     |    ^^^"},
		{"joining", "\u0928\u200D bad", "bad", "   1 | \u0928\u200D bad", "     |   ^^^"},
		{"tabs", "\t\t<a b='\tbad'/>", "bad", "   1 |         <a b='    bad'/>", "     |                   ^^^"},
		{"line ends", "<a>\r\n  <b c='bad'/>\r\n</a>", "bad", "   2 |   <b c='bad'/>", "     |         ^^^"},
		{"old line ends", "<a>\r  bad\r</a>", "bad", "   2 |   bad", "     |   ^^^"},
		{"over the end of the line", "<a\r\n b='1'>", "<a\r\n b='1'>", "   1 | <a", "     | ^^"},
		{"nothing at the end", "<a>\r\n", "", "   1 | <a>", "     | ^"},
		{"control", "a\x1b[31mb bad", "bad", "   1 | a·[31mb bad", "     |         ^^^"},
		{"direction", "a\u202eb bad", "bad", "   1 | a·b bad", "     |     ^^^"},
		{"soft hyphen", "a\u00adb bad", "bad", "   1 | a·b bad", "     |     ^^^"},
		{"not UTF-8", "a\xffb bad", "bad", "   1 | a\uFFFDb bad", "     |     ^^^"},
	} {
		t.Run(c.name, func(t *testing.T) {
			lines := strings.Split(text(t, one(c.source, c.mark), render.Style{}), "\n")
			require.Equal(t, c.line, lines[1])
			require.Equal(t, c.caret, lines[2])
		})
	}
}

func TestPlacesAtTheEdges(t *testing.T) {
	const source = "<ä>\r\n</ä>"
	for start := -1; start <= len(source)+1; start++ {
		for end := start - 1; end <= len(source)+2; end++ {
			r := validate.NewReport(0)
			r.Add(unused.At(jdf.PlaceAt(jdf.NewSource("a", source), start, end, ""), validate.F("id", "x")))
			out := text(t, r, render.Style{})
			require.True(t, utf8.ValidString(out), "%d to %d", start, end)
			require.Contains(t, out, "^")
			require.NotContains(t, out, "\r")
		}
	}
}

// longLine is a ticket of 200 KB in one line.
func longLine() string {
	return "<a>" + strings.Repeat("<b c='überlang'/>", 12_000) + "</a>"
}

func TestLongLineShowsAWindow(t *testing.T) {
	source := longLine()
	require.Greater(t, len(source), 200_000)
	for _, columns := range []int{1, 24, 60, 100, 300} {
		for _, at := range []int{0, 6, len(source) / 2, len(source) - 4, len(source)} {
			for !utf8.RuneStart((source + " ")[at]) {
				at++
			}
			for _, length := range []int{0, 1, 8, 5000} {
				r := validate.NewReport(0)
				end := min(at+length, len(source))
				r.Add(unused.At(jdf.PlaceAt(jdf.NewSource("a", source), at, end, ""), validate.F("id", "x")))
				lines := strings.Split(text(t, r, render.Style{Width: columns}), "\n")
				shown := []rune(lines[1])
				require.LessOrEqual(t, len(shown), max(columns, 7+16), "at %d of length %d", at, length)
				if at == 0 || at > max(columns, 24) {
					require.Equal(t, at > 0, strings.HasPrefix(lines[1], "   1 | …"), "cut at the left, at %d", at)
				}
				if length == 8 && end > at {
					from := strings.Index(lines[2], "^")
					want := source[at:end]
					require.True(t, strings.HasPrefix(want, string(shown[from:from+strings.Count(lines[2], "^")])))
				}
			}
		}
	}
}

// A window costs what it shows, not what the line holds: the time a finding is
// the same whether one line holds a thousand of them or thirty thousand.
func BenchmarkFindingsInOneLine(b *testing.B) {
	for _, n := range []int{1000, 30_000} {
		b.Run(strconv.Itoa(n), func(b *testing.B) {
			src := jdf.NewSource("a", strings.Repeat("<b c='x'/>", n))
			r := validate.NewReport(0)
			for i := range n {
				r.Add(unused.At(jdf.PlaceAt(src, i*10+6, i*10+7, ""), validate.F("id", "x")))
			}
			for b.Loop() {
				if err := render.Text(io.Discard, r, render.Style{}); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*n), "ns/finding")
		})
	}
}

func TestMarksWithoutWidthAreBounded(t *testing.T) {
	source := "a" + strings.Repeat("\u0301", 100_000) + "b"
	out := text(t, one(source, "b"), render.Style{})
	require.Less(t, len(out), 4000)
	require.Contains(t, out, "| …b\n")
}

func TestLongMessagesAreCut(t *testing.T) {
	r := validate.NewReport(0)
	r.Add(unused.At(jdf.Place{}, validate.F("id", strings.Repeat("ä", 100_000))))
	out := text(t, r, render.Style{})
	require.Less(t, len(out), 3000)
	require.Contains(t, out, "ää… (99520 characters more)\n")
}

// steering finds what would make a terminal do something.
func steering(s string) string {
	for _, r := range s {
		if r < ' ' && r != '\n' || r >= 0x7F && r <= 0x9F || r >= 0x202A && r <= 0x202E || r >= 0x2066 && r <= 0x2069 {
			return fmt.Sprintf("%U", r)
		}
	}
	return ""
}

func TestNothingSteersTheTerminal(t *testing.T) {
	r := sample(t)
	require.Empty(t, steering(text(t, r, render.Style{})))
	for name, write := range writers() {
		var out bytes.Buffer
		require.NoError(t, write(&out, r))
		require.Empty(t, steering(out.String()), name)
	}
}

func FuzzText(f *testing.F) {
	f.Add("<a>\r\n\t<b c='日本'/>\x1b[2J</a>", 6, 9, 40)
	f.Add(strings.Repeat("e\u0301", 300), 30, 31, 20)
	f.Add("\xff\xfe\r\r\n\n", 2, 4, 0)
	f.Fuzz(func(t *testing.T, source string, start, end, columns int) {
		r := validate.NewReport(0)
		r.Add(unused.At(jdf.PlaceAt(jdf.NewSource("a", source), start, end, source), validate.F("id", source)))
		out := text(t, r, render.Style{Width: columns % 300})
		require.Empty(t, steering(out))
		require.True(t, utf8.ValidString(out))
		if source != "" {
			require.Contains(t, out, "^")
		}
	})
}

func TestColourOnlyOnRequest(t *testing.T) {
	require.NotContains(t, text(t, sample(t), render.Style{}), "\x1b")
	coloured := text(t, sample(t), render.Style{Color: true})
	for _, code := range []string{"1;31", "1;35", "1;36"} {
		coloured = strings.ReplaceAll(coloured, "\x1b["+code+"m", "")
	}
	require.Equal(t, text(t, sample(t), render.Style{}), strings.ReplaceAll(coloured, "\x1b[0m", ""))
}

func TestSummary(t *testing.T) {
	of := func(change func(*validate.Report)) string {
		r := validate.NewReport(1)
		r.Files = 1
		change(r)
		var out strings.Builder
		render.Summary(&out, r)
		return out.String()
	}
	require.Equal(t, "1 file checked: 0 errors, 0 warnings, 0 notes\n", of(func(*validate.Report) {}))
	require.Equal(t, "1 file checked: 1 error, 1 warning, 0 notes (1 finding not shown; see --max-findings)\n",
		of(func(r *validate.Report) { r.Add(wrongType.At(jdf.Place{})); r.Add(unused.At(jdf.Place{})) }))
	require.Equal(t, "1 file checked: 0 errors, 0 warnings, 0 notes, 1 silenced\n",
		of(func(r *validate.Report) {
			f := wrongType.At(jdf.Place{})
			f.Silenced = &validate.Silence{Reason: "known"}
			r.Add(f)
		}))
}

func TestWriteErrorsAreTold(t *testing.T) {
	broken := errors.New("disk full")
	all := writers()
	all["text"] = func(w writer, r *validate.Report) error { return render.Text(w, r, render.Style{}) }
	for name, write := range all {
		require.ErrorIs(t, write(failing{broken}, sample(t)), broken, name)
	}
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }
