package schedule

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// tenJobs is ten jobs of the small plant, some of them late.
func tenJobs(t testing.TB) *Schedule {
	t.Helper()
	random := rand.New(rand.NewPCG(10, 4))
	w := randomWorks(random, 10, 3, monday, 3)
	w[0].Plan.Name = "Tide tables <\"2027\" &\n\x01later\ufffe>"
	s, _ := laid(t, w, works(twoShifts(), zone(t, "Europe/Berlin")), Options{Now: monday, Trials: 4000})
	require.NotZero(t, s.Totals.LateJobs)
	require.Less(t, s.Totals.LateJobs, len(s.Jobs))
	return s
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		require.Empty(t, os.Getenv("CI"), "golden files are not rewritten in CI")
		require.NoError(t, os.WriteFile(path, got, 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, string(want), string(got))
}

func TestText(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, Text(&out, tenJobs(t)))
	golden(t, "ten.txt", out.Bytes())
}

// TestSVG pins the picture, and that any reader of XML takes it.
func TestSVG(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, SVG(&out, tenJobs(t)))
	golden(t, "ten.svg", out.Bytes())
	texts := 0
	for d := xml.NewDecoder(&out); ; {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err)
		if text, ok := token.(xml.CharData); ok && strings.Contains(string(text), `Tide tables <"2027" & later >`) {
			texts++
		}
	}
	require.Greater(t, texts, 1)
}
