package house

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"quoin/validate"
)

// Baseline is what was wrong in some tickets already. It is immutable, and
// safe for concurrent use.
type Baseline struct {
	dir   string // of the file; names in it start there
	known map[baselineKey]int
}

// baselineKey is what tells one kind of finding from another. Lines are no
// part of it, so that a ticket may be laid out anew.
type baselineKey struct{ file, rule, print string }

// baselineVersion is raised when an older Quoin could misread the file.
const baselineVersion = 1

type baselineFile struct {
	Version  int             `json:"version"`
	Findings []baselineEntry `json:"findings"`
}

// baselineEntry says a finding for people too: path and message are not read
// back.
type baselineEntry struct {
	File    string `json:"file"`
	Rule    string `json:"rule"`
	Path    string `json:"path,omitempty"`
	Message string `json:"message"`
	Print   string `json:"fingerprint"`
	Count   int    `json:"count"`
}

// WriteBaseline writes the findings of a report, without those silenced, to a
// baseline file. File names are kept relative to the folder of the baseline.
// The file is replaced as a whole or not at all. A report that did not keep
// all findings is refused, since the others would come back as new.
func WriteBaseline(path string, r *validate.Report) error {
	if r.Left > 0 {
		return fmt.Errorf("write baseline %q: the report holds %d findings fewer than it counts; keep all of them",
			path, r.Left)
	}
	dir, err := filepath.Abs(filepath.Dir(path))
	if err != nil {
		return fmt.Errorf("write baseline %q: %w", path, err)
	}
	var text bytes.Buffer
	enc := json.NewEncoder(&text)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	if err := enc.Encode(baselineFile{baselineVersion, entries(dir, r)}); err != nil {
		return fmt.Errorf("write baseline %q: %w", path, err)
	}
	if err := replace(path, text.Bytes()); err != nil {
		return fmt.Errorf("write baseline %q: %w", path, err)
	}
	return nil
}

func entries(dir string, r *validate.Report) []baselineEntry {
	all := []baselineEntry{}
	index := map[baselineKey]int{}
	for _, f := range r.Findings {
		if f.Silenced != nil {
			continue
		}
		key := keyOf(dir, f)
		if i, ok := index[key]; ok {
			all[i].Count++
			continue
		}
		index[key] = len(all)
		all = append(all, baselineEntry{key.file, key.rule, f.Place.Path(), f.Message(), key.print, 1})
	}
	slices.SortFunc(all, func(a, b baselineEntry) int {
		return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Rule, b.Rule),
			cmp.Compare(a.Path, b.Path), cmp.Compare(a.Print, b.Print))
	})
	return all
}

func keyOf(dir string, f validate.Finding) baselineKey {
	return baselineKey{relativeName(dir, f.Place.File()), f.Rule.ID, f.Fingerprint()}
}

// relativeName names a file from a folder, with slashes. Names that are no
// files, such as <stdin>, stay.
func relativeName(dir, name string) string {
	if name == "" || strings.HasPrefix(name, "<") {
		return name
	}
	if abs, err := filepath.Abs(name); err == nil {
		if rel, err := filepath.Rel(dir, abs); err == nil {
			name = rel
		}
	}
	return filepath.ToSlash(name)
}

// replace writes a file by way of another beside it.
func replace(path string, text []byte) (err error) {
	temp, err := os.CreateTemp(filepath.Dir(path), ".quoin-*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, ignoreClosed(temp.Close()), os.Remove(temp.Name()))
		}
	}()
	if _, err := temp.Write(text); err != nil {
		return err
	}
	if err := temp.Chmod(0o644); err != nil {
		return err
	}
	if err := temp.Sync(); err != nil {
		return err
	}
	if err := temp.Close(); err != nil {
		return err
	}
	return os.Rename(temp.Name(), path)
}

func ignoreClosed(err error) error {
	if errors.Is(err, os.ErrClosed) {
		return nil
	}
	return err
}

// ReadBaseline reads what WriteBaseline wrote.
func ReadBaseline(path string) (*Baseline, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, fmt.Errorf("read baseline %q: %w", path, err)
	}
	var file baselineFile
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&file); err != nil {
		return nil, fmt.Errorf("read baseline %q: it is no baseline (%w); write it anew", path, err)
	}
	if _, err := dec.Token(); !errors.Is(err, io.EOF) {
		return nil, fmt.Errorf("read baseline %q: there is more behind its end; write it anew", path)
	}
	if file.Version != baselineVersion {
		return nil, fmt.Errorf("read baseline %q: it is of version %d; want %d; write it anew",
			path, file.Version, baselineVersion)
	}
	dir, err := filepath.Abs(filepath.Dir(path))
	if err != nil {
		return nil, fmt.Errorf("read baseline %q: %w", path, err)
	}
	b := &Baseline{dir: dir, known: make(map[baselineKey]int, len(file.Findings))}
	for i, e := range file.Findings {
		key := baselineKey{e.File, e.Rule, e.Print}
		if e.Rule == "" || e.Print == "" || e.Count < 1 || b.known[key] > 0 {
			return nil, fmt.Errorf("read baseline %q: entry %d is empty or given twice; write it anew", path, i+1)
		}
		b.known[key] = e.Count
	}
	return b, nil
}

// Split parts the findings of a report into those that are new and those that
// the baseline knows: of a kind of finding that it counts n times, the first n
// are known. Silenced findings, and those counted but not kept, go with the new.
func (b *Baseline) Split(r *validate.Report) (fresh, known *validate.Report) {
	used := map[baselineKey]int{}
	known, fresh = r.Split(func(f validate.Finding) bool {
		key := keyOf(b.dir, f)
		if f.Silenced != nil || used[key] >= b.known[key] {
			return false
		}
		used[key]++
		return true
	})
	return fresh, known
}
