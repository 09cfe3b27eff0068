package board_test

import (
	"fmt"
	"math"
	"os"
	"regexp"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// pairs are the colours that text is written in, and what it stands on.
var pairs = [][2]string{
	{"ink", "paper"}, {"ink", "sheet"}, {"ink", "mark"}, {"ink", "shift"}, {"faint", "paper"}, {"faint",
		"sheet"}, {"faint", "shift"},
	{"spot", "paper"}, {"spot", "sheet"}, {"spot", "shift"}, {"onspot", "spot"}, {"good", "paper"}, {"good", "sheet"},
	{"warn", "paper"}, {"warn", "sheet"}, {"bad", "paper"}, {"bad", "sheet"}, {"bad", "shift"}, {"onbad", "bad"},
}

// TestContrast measures the colours of the style sheet, light and dark.
//
// Source: Web Content Accessibility Guidelines 2.2, success criteria 1.4.3 (text,
// 4.5:1) and 1.4.11 (edges of controls, 3:1), and its definition of contrast ratio.
func TestContrast(t *testing.T) {
	css, err := os.ReadFile("static/board.css")
	require.NoError(t, err)
	blocks := regexp.MustCompile(`:root \{([^}]*)\}`).FindAllStringSubmatch(string(css), -1)
	require.Len(t, blocks, 3, "light, dark and print")
	light := colours(t, blocks[0][1])
	require.Len(t, light, 14)
	printed := colours(t, blocks[2][1])
	for name, c := range light { // print changes only some
		if _, ok := printed[name]; !ok {
			printed[name] = c
		}
	}
	schemes := map[string]map[string][3]float64{"light": light, "dark": colours(t, blocks[1][1]), "print": printed}
	for name, scheme := range schemes {
		for _, p := range pairs {
			got := contrast(t, scheme, p)
			require.GreaterOrEqual(t, got, 4.5, "%s: %s on %s", name, p[0], p[1])
		}
		for _, on := range []string{"paper", "sheet"} {
			require.GreaterOrEqual(t, contrast(t, scheme, [2]string{"edge", on}), 3.0, "%s: edge on %s", name, on)
		}
	}
	// Source: the same definition: black on white is 21:1.
	require.InDelta(t, 21, ratio([3]float64{0, 0, 0}, [3]float64{1, 1, 1}), 1e-9)
}

var colour = regexp.MustCompile(`--([a-z]+): #([0-9a-f]{3,6});`)

func colours(t *testing.T, block string) map[string][3]float64 {
	t.Helper()
	all := map[string][3]float64{}
	for _, m := range colour.FindAllStringSubmatch(block, -1) {
		hex := m[2]
		if len(hex) == 3 {
			hex = fmt.Sprintf("%c%c%c%c%c%c", hex[0], hex[0], hex[1], hex[1], hex[2], hex[2])
		}
		require.Len(t, hex, 6, m[1])
		var c [3]float64
		for i := range c {
			n, err := strconv.ParseUint(hex[2*i:2*i+2], 16, 8)
			require.NoError(t, err)
			c[i] = float64(n) / 255
		}
		all[m[1]] = c
	}
	return all
}

func contrast(t *testing.T, scheme map[string][3]float64, p [2]string) float64 {
	t.Helper()
	for _, name := range p {
		require.Contains(t, scheme, name)
	}
	return ratio(scheme[p[0]], scheme[p[1]])
}

func ratio(a, b [3]float64) float64 {
	x, y := luminance(a), luminance(b)
	return (math.Max(x, y) + 0.05) / (math.Min(x, y) + 0.05)
}

func luminance(c [3]float64) float64 {
	for i, v := range c {
		if v <= 0.04045 {
			c[i] = v / 12.92
		} else {
			c[i] = math.Pow((v+0.055)/1.055, 2.4)
		}
	}
	return 0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2]
}
