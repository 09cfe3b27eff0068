//go:build !checker

package main

import (
	"flag"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the golden files anew")

// more ends a shown output that goes on.
const more = "…"

// The README shows real output: each command of its console blocks is run in
// the folder of the demo, and prints what stands below it.
func TestReadme(t *testing.T) {
	const path = "../../README.md"
	page, err := os.ReadFile(path)
	require.NoError(t, err)
	t.Chdir(demo)
	t.Setenv("COLUMNS", "")
	lines := strings.Split(string(page), "\n")
	var out []string
	ran, inside := 0, false
	for i := 0; i < len(lines); i++ {
		line := lines[i]
		out = append(out, line)
		switch {
		case line == "```console":
			inside = true
		case line == "```":
			inside = false
		case inside && strings.HasPrefix(line, "$ quoin "):
			end := i + 1
			for lines[end] != "```" && !strings.HasPrefix(lines[end], "$ ") {
				end++
			}
			out = append(out, shown(t, strings.Fields(line)[2:], lines[i+1:end])...)
			i = end - 1
			ran++
		}
	}
	require.Greater(t, ran, 3)
	if fresh := strings.Join(out, "\n"); *update {
		t.Chdir("../../cmd/quoin")
		require.NoError(t, os.WriteFile(path, []byte(fresh), 0o644))
	} else {
		require.Equal(t, string(page), fresh)
	}
}

// shown runs a command and cuts its output to as many lines as the page shows.
func shown(t *testing.T, args, before []string) []string {
	_, stdout, stderr := quoin(t, "", args...)
	require.Empty(t, stderr)
	now := strings.Split(strings.TrimRight(stdout, "\n"), "\n")
	if n := len(before); n > 0 && before[n-1] == more && n-1 < len(now) {
		now = append(now[:n-1], more)
	}
	return now
}
