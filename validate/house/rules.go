package house

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"quoin/jdf"
	"quoin/validate"
)

// FileName is the name of a rules file.
const FileName = "quoin.yaml"

// maxFile is the largest rules file taken, in bytes. One with a thousand
// silences has half of it.
const maxFile = 256 << 10

// File is what a rules file says.
type File struct {
	Source   *jdf.Source
	Plant    string   // path of the plant file, made from the folder of the rules file; "" when none is named
	Profiles []string // in the order they are written
	Severity map[string]validate.Severity
	Ignore   []Ignore
	Limits   jdf.Limits // zero fields are not given
}

// Ignore silences one rule for a time.
type Ignore struct {
	Rule, Reason string
	Until        time.Time // midnight UTC of the last day on which it holds
	Place        jdf.Place // of the entry
}

// Holds reports whether the silence still holds: it does to the end of its
// last day, in the time zone of now.
func (i Ignore) Holds(now time.Time) bool {
	year, month, day := now.Date()
	return !time.Date(year, month, day, 0, 0, 0, 0, time.UTC).After(i.Until)
}

// Find looks for a rules file in a folder and the folders above it. Only use
// it where the folders are the house's own: who can write into them can
// silence findings.
func Find(dir string) (path string, ok bool) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return "", false
	}
	for {
		path = filepath.Join(dir, FileName)
		if info, err := os.Stat(path); err == nil && info.Mode().IsRegular() {
			return path, true
		}
		parent := filepath.Dir(dir)
		if parent == dir {
			return "", false
		}
		dir = parent
	}
}

// Load reads a rules file; known are the ids of all rules. The error is of
// reading the file; what is wrong in it comes as findings of the group house.
// The File holds what could be read, and is fit for use when there are no
// findings.
func Load(path string, known []string) (*File, []validate.Finding, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, nil, fmt.Errorf("read rules file %q: %w", path, err)
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, maxFile+1))
	if err != nil {
		return nil, nil, fmt.Errorf("read rules file %q: %w", path, err)
	}
	if len(text) > maxFile {
		return nil, nil, fmt.Errorf("read rules file %q: it has over %d KiB; take out what is not a rule",
			path, maxFile>>10)
	}
	file, findings := Decode(path, text, known)
	return file, findings, nil
}
