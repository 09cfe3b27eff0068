package jdf

import (
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Source: W3C Extensible Markup Language (XML) 1.0, Fifth Edition, productions
// 23 to 26, 32, 80 and 81, written as one expression.
var productions = regexp.MustCompile(
	`^<\?xml[ \t\r\n]+version[ \t\r\n]*=[ \t\r\n]*(?:"(1\.[0-9]+)"|'(1\.[0-9]+)')` +
		`(?:[ \t\r\n]+encoding[ \t\r\n]*=[ \t\r\n]*(?:"([A-Za-z][A-Za-z0-9._-]*)"|'([A-Za-z][A-Za-z0-9._-]*)'))?` +
		`(?:[ \t\r\n]+standalone[ \t\r\n]*=[ \t\r\n]*(?:"(?:yes|no)"|'(?:yes|no)'))?[ \t\r\n]*\?>`)

// TestDeclaration holds the parser against the grammar, over declarations with
// pieces left out, doubled, swapped and spoilt.
func TestDeclaration(t *testing.T) {
	pieces := []string{
		"<?xml", " ", "version", "=", `"1.0"`, "\n", "encoding", " = ", `'UTF-8'`, "\t", "standalone", "=", `"yes"`, "?>",
	}
	others := []string{"", " ", `"`, "'", `"1."`, `"1.1"`, `'8bit'`, "?", "<?xml?>", `"maybe"`, "\f", "encoding", "ü"}
	random := rand.New(rand.NewPCG(23, 81))
	good, bad := 0, 0
	for range 50_000 {
		made := append([]string(nil), pieces...)
		for range random.IntN(4) {
			i, j := random.IntN(len(made)), random.IntN(len(made))
			switch random.IntN(3) {
			case 0:
				made[i] = others[random.IntN(len(others))]
			case 1:
				made[i], made[j] = made[j], made[i]
			default:
				made[i] += made[i]
			}
		}
		text := strings.Join(made, "") + "<a/>"
		got, ok := parseDeclaration(text)
		want := productions.FindStringSubmatchIndex(text)
		require.Equal(t, want != nil, ok, "%q", text)
		if !ok {
			bad++
			continue
		}
		good++
		require.Equal(t, want[1], got.end, "%q", text)
		require.Equal(t, stretch{max(want[2], want[4]), max(want[3], want[5])}, got.version, "%q", text)
		require.Equal(t, stretch{max(want[6], want[8], 0), max(want[7], want[9], 0)}, got.encoding, "%q", text)
	}
	require.Positive(t, good)
	require.Positive(t, bad)
}
