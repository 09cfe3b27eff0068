package rules

import (
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestWatched looks that what rules ask for by name is in the index, so that no
// rule walks the whole document for it.
func TestWatched(t *testing.T) {
	files, err := filepath.Glob("*.go")
	require.NoError(t, err)
	asks, word := regexp.MustCompile(`p\.having\(("[^)]*)\)`), regexp.MustCompile(`"(\w+)"`)
	found := 0
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		for _, call := range asks.FindAllString(string(text), -1) {
			for _, name := range word.FindAllStringSubmatch(call, -1) {
				found++
				require.True(t, watched[name[1]], "%s: %s", file, name[1])
			}
		}
	}
	require.GreaterOrEqual(t, found, 30)
}
