// Package standard finds the published schemas and samples that tests compare
// Quoin with. They belong to the body that publishes the standard, and are no
// part of the project.
package standard

import (
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"testing"
)

// Variable is the environment variable that names the folder of the standard
// where it does not stand in ../shared/standard beside the checkout.
const Variable = "QUOIN_STANDARD"

// Find returns the folder that holds jdf and xjdf of the published standard,
// and whether it is there.
func Find() (string, bool) {
	dir := os.Getenv(Variable)
	if dir == "" {
		_, here, _, _ := runtime.Caller(0)
		dir = filepath.Join(filepath.Dir(here), "..", "..", "..", "shared", "standard")
	}
	for _, want := range []string{"jdf/JDF.xsd", "xjdf/xjdf.xsd"} {
		if _, err := os.Stat(filepath.Join(dir, want)); err != nil {
			return dir, false
		}
	}
	return dir, true
}

// Dir returns the folder. Without it the test fails in CI, and is skipped
// elsewhere.
func Dir(t testing.TB) string {
	t.Helper()
	dir, ok := Find()
	switch {
	case ok:
	case os.Getenv("CI") != "":
		t.Fatalf("the published standard is not at %s; CI needs it, set %s", dir, Variable)
	default:
		t.Skipf("the published standard is not at %s; set %s to compare with it", dir, Variable)
	}
	return dir
}

// SampleCount is the number of samples in the published release.
const SampleCount = 292

// Samples lists the sample files, sorted. The test fails when their number is
// not SampleCount, so that a missing folder can not pass for a clean run.
func Samples(t testing.TB) []string {
	t.Helper()
	var files []string
	err := filepath.WalkDir(Dir(t), func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		switch filepath.Ext(path) {
		case ".jdf", ".jmf", ".xjdf", ".xjmf":
			files = append(files, path)
		}
		return nil
	})
	if err != nil {
		t.Fatalf("list samples: %v", err)
	}
	if len(files) != SampleCount {
		t.Fatalf("found %d samples, want %d", len(files), SampleCount)
	}
	slices.Sort(files)
	return files
}
