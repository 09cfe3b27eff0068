package plant

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestShow(t *testing.T) {
	var out strings.Builder
	require.NoError(t, Show(&out, loadDemo(t)))
	golden(t, "testdata/show.golden", out.String())
	for line := range strings.Lines(out.String()) {
		require.Equal(t, strings.TrimRight(line, " \n"), strings.TrimSuffix(line, "\n"), "no blanks at the end")
	}
	for _, m := range loadDemo(t).Machines() {
		require.Contains(t, out.String(), m.ID)
	}
}

// A plant with nothing in it is shown too.
func TestShowEmpty(t *testing.T) {
	var out strings.Builder
	require.NoError(t, Show(&out, &Plant{Name: "Bare walls", Presses: []*Press{{}}, HandWork: []*HandWork{{}}}))
	require.Contains(t, out.String(), "Bare walls\n==========\n")
	require.NotContains(t, out.String(), "Stocks")
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("disk full") }

func TestShowReportsWriting(t *testing.T) {
	require.ErrorContains(t, Show(full{}, loadDemo(t)), "write the plant: disk full")
}
