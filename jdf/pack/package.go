package pack

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"path"
	"strconv"
)

// Format is the kind of container.
type Format uint8

// The containers.
const (
	None Format = iota // no package
	MIME               // multipart/related
	ZIP
)

// String is "MIME", "ZIP" or "none".
func (f Format) String() string { return [...]string{"none", "MIME", "ZIP"}[f] }

// Part is one file or message inside a package. Parts made by Open read from
// the package's reader when they are opened; it must stay usable meanwhile.
type Part struct {
	Name     string // path in a ZIP, file name in MIME; "" when a MIME part has none
	ID       string // Content-ID without its angle brackets; "" when it has none
	Type     string // media type in lower case, without parameters; "" in a ZIP
	Encoding string // Content-Transfer-Encoding in lower case; "" in a ZIP
	Location string // Content-Location as written; "" when it has none
	Size     int64  // bytes when unpacked
	Offset   int64  // byte offset of its header in the package, where known

	index   int // position in the package, from 1
	refused bool
	open    func() (io.ReadCloser, error)
}

// NewPart makes a part of bytes, for writing. The bytes are not copied.
func NewPart(name, id, mediaType string, data []byte) *Part {
	return &Part{
		Name: name, ID: id, Type: mediaType, Size: int64(len(data)),
		open: func() (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(data)), nil },
	}
}

// ErrRefused is the error of opening a part that has a Problem.
var ErrRefused = errors.New("the part is not taken, for there is a problem with it")

// Open gives the bytes of the part, unpacked. The reader returns an error
// where the bytes are not what the package says of them. A part with a problem
// gives ErrRefused.
func (p *Part) Open() (io.ReadCloser, error) {
	if p.refused || p.open == nil {
		return nil, fmt.Errorf("open part %q: %w", p.Label(), ErrRefused)
	}
	r, err := p.open()
	if err != nil {
		return nil, fmt.Errorf("open part %q: %w", p.Label(), err)
	}
	return r, nil
}

// Refused reports whether the part has a problem, and can not be opened.
func (p *Part) Refused() bool { return p.refused }

// Label is what to call the part: its name, else its Content-ID, else its number.
func (p *Part) Label() string {
	switch {
	case p.Name != "":
		return p.Name
	case p.ID != "":
		return "cid:" + p.ID
	}
	return "part " + strconv.Itoa(p.index)
}

// Package is a container as opened. It is immutable and safe for concurrent
// use, as far as its reader is.
type Package struct {
	Name   string // the file name as the user gave it
	Format Format
	Parts  []*Part // in the order of the package

	// Root is the part that the others belong to: the one that the start
	// parameter names, else the first, of a MIME package. A ZIP names none.
	Root *Part

	// RootType is the type parameter of a MIME package, "" without.
	RootType string

	byID, byName, byPlace map[string]*Part
}

// Find resolves a URL that a part (or, with nil, the outside) refers to, inside
// the package only: cid: by Content-ID, everything relative by name, from the
// folder of the part. A part that is refused is found all the same.
func (p *Package) Find(from *Part, url string) (*Part, bool) {
	folder := ""
	if from != nil {
		folder = path.Dir(from.Name)
	}
	target, err := Locate(folder, url)
	if err != nil {
		return nil, false
	}
	var found *Part
	switch target.Reach {
	case Inside:
		if found = p.byPlace[url]; found == nil {
			found = p.byName[target.Path]
		}
	case ByID:
		if p.Format == MIME {
			found = p.byID[target.ID]
		}
	}
	return found, found != nil
}

// index makes the tables of Find. Of two parts with one name or Content-ID the
// first is found; that there are two is a problem.
func (p *Package) index() {
	p.byID, p.byName, p.byPlace = map[string]*Part{}, map[string]*Part{}, map[string]*Part{}
	first := func(m map[string]*Part, key string, part *Part) {
		if _, taken := m[key]; key != "" && !taken {
			m[key] = part
		}
	}
	for _, part := range p.Parts {
		first(p.byID, part.ID, part)
		first(p.byName, part.Name, part)
		first(p.byPlace, part.Location, part)
	}
}

// Verify reads every part that is not refused to its end and lists those whose
// bytes are not what the package says of them, in the order of the package.
// The error is that of the context or of the package's reader.
func (p *Package) Verify(ctx context.Context) ([]Problem, error) {
	var found []Problem
	for _, part := range p.Parts {
		if part.refused {
			continue
		}
		if err := ctx.Err(); err != nil {
			return found, err
		}
		err := drain(ctx, part)
		switch problem, ok := errors.AsType[*partError](err); {
		case ok:
			found = append(found, Problem{Code: PartDamaged, Part: part, Got: problem.got, Want: problem.want})
		case err != nil:
			return found, fmt.Errorf("read part %q of %q: %w", part.Label(), p.Name, err)
		}
	}
	return found, nil
}

func drain(ctx context.Context, part *Part) error {
	r, err := part.Open()
	if err != nil {
		return err
	}
	defer r.Close()
	_, err = io.Copy(io.Discard, &contextReader{ctx, r})
	return err
}

// contextReader stops at the end of a context.
type contextReader struct {
	ctx context.Context
	r   io.Reader
}

func (c *contextReader) Read(b []byte) (int, error) {
	if err := c.ctx.Err(); err != nil {
		return 0, err
	}
	return c.r.Read(b)
}

// partError says that the bytes of a part are not what the package says.
type partError struct{ got, want string }

func (e *partError) Error() string { return fmt.Sprintf("got %s; want %s", e.got, e.want) }
