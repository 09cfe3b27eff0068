package jdf_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/testdata/standard"
)

// complaint is a line in which xmllint finds an error in a file.
var complaint = regexp.MustCompile(`(?m)^(\d+)\.xml:(\d+): \w+ error : (.*)$`)

// xmllint reads all texts in one process and tells, by index, the line of the
// first complaint about each that it has one about.
func xmllint(t *testing.T, texts []string) map[int]int {
	t.Helper()
	program, err := exec.LookPath("xmllint")
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("CI needs xmllint")
		}
		t.Skip("xmllint is not installed")
	}
	dir := t.TempDir()
	args := []string{"--noout", "--nonet"}
	for i, text := range texts {
		name := strconv.Itoa(i) + ".xml"
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600))
		args = append(args, name)
	}
	cmd := exec.Command(program, args...)
	cmd.Dir = dir
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	err = cmd.Run()
	var exit *exec.ExitError
	if err != nil {
		require.ErrorAs(t, err, &exit)
	}
	lines := map[int]int{}
	for _, m := range complaint.FindAllStringSubmatch(stderr.String(), -1) {
		if strings.HasSuffix(m[3], "is not a valid URI") {
			continue // Namespaces in XML lets a namespace be any string
		}
		i, err := strconv.Atoi(m[1])
		require.NoError(t, err)
		if _, ok := lines[i]; !ok {
			lines[i], err = strconv.Atoi(m[2])
			require.NoError(t, err)
		}
	}
	return lines
}

// Source: libxml2, as xmllint: an independent judge of what is well-formed.
func TestMutantsAgreeWithXmllint(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	samples := standard.Samples(t)
	var texts []string
	for i := range 2000 {
		text := wellFormed[i%len(wellFormed)]
		if i%4 > 0 {
			sample, err := os.ReadFile(samples[i%len(samples)])
			require.NoError(t, err)
			text = string(sample)
		}
		texts = append(texts, mutate(r, text))
	}
	bad, good, line := 0, 0, 0
	lines := xmllint(t, texts)
	for i, text := range texts {
		doc, faults := read(t, text)
		if len(faults) == 1 && faults[0].Code == jdf.FaultEncodingUnknown {
			continue // xmllint knows more encodings, and is lax about their names
		}
		at, complained := lines[i]
		if complained != (len(faults) > 0) {
			t.Errorf("xmllint complains: %v, line %d; faults %v; %q", complained, at, show(faults), doc.Source.Text)
			continue
		}
		if !complained {
			good++
			continue
		}
		bad++
		for _, s := range show(faults) {
			if strings.Contains(s, fmt.Sprintf(" %d:", at)) {
				line++
				break
			}
		}
	}
	t.Logf("%d well-formed, %d not, %d of them at the same line", good, bad, line)
	require.Greater(t, good, 300)
	require.Greater(t, bad, 900)
	require.Greater(t, line, bad*95/100, "the two see the same thing")
}
