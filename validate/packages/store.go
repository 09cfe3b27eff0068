package packages

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"

	"quoin/jdf/pack"
)

// asset is a file that a ticket refers to.
type asset struct {
	key     string
	part    *pack.Part // nil for a file in a folder
	size    int64
	refused bool // there is a finding on it already
	open    func() (io.ReadCloser, error)
}

// store is where the files of a ticket are looked for.
type store interface {
	// find looks up a target as seen from a part; nil says that there is no such file.
	find(from *pack.Part, url string, t pack.Target) (*asset, error)

	// format is that of the package, or pack.None for folders.
	format() pack.Format

	// reaches reports whether a local path is one that may be looked at.
	reaches(t pack.Target) bool
}

// parts is the store of a package.
type parts struct {
	*pack.Package
	bad map[*pack.Part]bool
}

func (p *parts) format() pack.Format { return p.Format }

func (p *parts) reaches(pack.Target) bool { return false }

func (p *parts) find(from *pack.Part, url string, _ pack.Target) (*asset, error) {
	part, ok := p.Find(from, url)
	if !ok {
		return nil, nil
	}
	return &asset{
		key: part.Label(), part: part, size: part.Size, refused: part.Refused() || p.bad[part], open: part.Open,
	}, nil
}

// folders is the store of a plain ticket. The folders are opened as roots, so
// that no path and no symbolic link leads out of them.
type folders struct {
	roots []*os.Root
	paths []string // absolute
}

func openFolders(names []string) (*folders, error) {
	f := &folders{}
	for _, name := range names {
		abs, err := filepath.Abs(name)
		if err == nil {
			var root *os.Root
			if root, err = os.OpenRoot(abs); err == nil {
				f.roots, f.paths = append(f.roots, root), append(f.paths, abs)
			}
		}
		if err != nil {
			f.Close()
			return nil, fmt.Errorf("open folder %q: %w", name, err)
		}
	}
	return f, nil
}

// Close lets the folders go.
func (f *folders) Close() {
	for _, r := range f.roots {
		_ = r.Close() // opened for reading alone
	}
}

func (f *folders) format() pack.Format { return pack.None }

func (f *folders) reaches(t pack.Target) bool {
	_, ok := f.inside(t)
	return ok
}

// inside gives the path of a file URL below the one of the folders that holds it.
func (f *folders) inside(t pack.Target) (map[int]string, bool) {
	found := map[int]string{}
	if t.Host != "" || t.Path == "" || t.Path[0] != '/' {
		return nil, false
	}
	name := filepath.FromSlash(t.Path)
	if drive := filepath.FromSlash(t.Path[1:]); filepath.VolumeName(drive) != "" {
		name = drive // file:///C:/art on Windows
	}
	for i, folder := range f.paths {
		rel, err := filepath.Rel(folder, name)
		if err == nil && filepath.IsLocal(rel) {
			found[i] = filepath.ToSlash(rel)
		}
	}
	return found, len(found) > 0
}

func (f *folders) find(_ *pack.Part, _ string, t pack.Target) (*asset, error) {
	within := map[int]string{}
	switch t.Reach {
	case pack.Inside:
		for i := range f.roots {
			within[i] = t.Path
		}
	case pack.Local:
		within, _ = f.inside(t)
	}
	for i, root := range f.roots {
		name, ok := within[i]
		if !ok {
			continue
		}
		info, err := root.Stat(name)
		switch {
		case err == nil && info.Mode().IsRegular():
			return &asset{
				key: path.Join(f.paths[i], name), size: info.Size(),
				open: func() (io.ReadCloser, error) { return root.Open(name) },
			}, nil
		case errors.Is(err, fs.ErrPermission):
			return nil, fmt.Errorf("look at file %q: %w", name, err)
		}
	}
	return nil, nil
}
