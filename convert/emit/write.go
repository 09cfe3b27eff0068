package emit

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// Write writes the tickets, and the summaries for operators beside them, into a
// folder, which must be there, all or none: first every file is written under a
// temporary name beside its place, then all are put into place. When that breaks
// off, the folder is left as it was. A file that is there already under a name
// is replaced.
func Write(dir string, tickets []Ticket) (err error) {
	s := &batch{dir: dir}
	defer func() {
		if err != nil {
			s.undo()
		}
		s.clean()
	}()
	for _, t := range tickets {
		if err := s.add(t.Name, t.Doc); err != nil {
			return err
		}
		for _, r := range t.Reading {
			if err := s.add(r.Name, strings.NewReader(r.Text)); err != nil {
				return err
			}
		}
	}
	for i := range s.files {
		if err := s.place(&s.files[i]); err != nil {
			return err
		}
	}
	return nil
}

// batch is a set of files on their way into a folder.
type batch struct {
	dir   string
	files []file
}

// file is one of them.
type file struct {
	name   string // where it goes
	temp   string // where it is written
	backup string // where what stood there before is kept
	placed bool
}

// add writes one file under its temporary name, down to the disk.
func (s *batch) add(name string, text io.WriterTo) error {
	if !filepath.IsLocal(name) || filepath.Base(name) != name {
		return fmt.Errorf("write ticket %q: the name leaves the folder; want a plain file name", name)
	}
	place := filepath.Join(s.dir, name)
	if slices.ContainsFunc(s.files, func(f file) bool { return f.name == place }) {
		return fmt.Errorf("write ticket %q: two files have the name", name)
	}
	f, err := os.CreateTemp(s.dir, ".quoin-*.tmp")
	if err != nil {
		return fmt.Errorf("write ticket %q: %w", name, err)
	}
	s.files = append(s.files, file{name: place, temp: f.Name()})
	_, err = text.WriteTo(f)
	if err == nil {
		err = f.Chmod(0o644)
	}
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return fmt.Errorf("write ticket %q: %w", name, err)
	}
	return nil
}

// place puts a file into its place and keeps what stood there.
func (s *batch) place(f *file) error {
	info, err := os.Lstat(f.name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return fmt.Errorf("place ticket: %w", err)
	case !info.Mode().IsRegular():
		return fmt.Errorf("place ticket %q: something that is not a file stands there; move it away", f.name)
	default:
		backup := f.temp + ".old"
		if err := os.Rename(f.name, backup); err != nil {
			return fmt.Errorf("keep the ticket that stands at %q: %w", f.name, err)
		}
		f.backup = backup
	}
	if err := os.Rename(f.temp, f.name); err != nil {
		return fmt.Errorf("place ticket: %w", err)
	}
	f.placed = true
	return nil
}

// undo takes away what was placed and puts back what stood there. It does what
// it can: the error that led here is the one to report.
func (s *batch) undo() {
	for i := range s.files {
		f := &s.files[i]
		if f.placed {
			_ = os.Remove(f.name)
		}
		if f.backup != "" && os.Rename(f.backup, f.name) == nil {
			f.backup = ""
		}
	}
}

// clean removes temporary files that are left, and backups after success.
func (s *batch) clean() {
	for _, f := range s.files {
		if !f.placed {
			_ = os.Remove(f.temp)
		} else if f.backup != "" {
			_ = os.Remove(f.backup)
		}
	}
}
