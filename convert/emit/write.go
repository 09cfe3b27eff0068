package emit

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
)

// Write writes the tickets into a folder, which must be there, all or none:
// first every ticket is written to a temporary file beside its place, then all
// are put into place. When that breaks off, the folder is left as it was. A
// ticket that is there already under a name is replaced.
func Write(dir string, tickets []Ticket) (err error) {
	s := &batch{dir: dir}
	defer func() {
		if err != nil {
			s.undo()
		}
		s.clean()
	}()
	for _, t := range tickets {
		if err := s.add(t); err != nil {
			return err
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

// add writes one ticket to its temporary file, down to the disk.
func (s *batch) add(t Ticket) error {
	if !filepath.IsLocal(t.Name) || filepath.Base(t.Name) != t.Name {
		return fmt.Errorf("write ticket %q: the name leaves the folder; want a plain file name", t.Name)
	}
	place := filepath.Join(s.dir, t.Name)
	if slices.ContainsFunc(s.files, func(f file) bool { return f.name == place }) {
		return fmt.Errorf("write ticket %q: two tickets have the name", t.Name)
	}
	f, err := os.CreateTemp(s.dir, ".quoin-*.tmp")
	if err != nil {
		return fmt.Errorf("write ticket %q: %w", t.Name, err)
	}
	s.files = append(s.files, file{name: place, temp: f.Name()})
	_, err = t.Doc.WriteTo(f)
	if err == nil {
		err = f.Chmod(0o644)
	}
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return fmt.Errorf("write ticket %q: %w", t.Name, err)
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
