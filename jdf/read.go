package jdf

import (
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"slices"
	"strconv"
	"unsafe"
)

// Limits bound what Read takes on. A zero field stands for its default.
type Limits struct {
	MaxBytes int64 // size of the file in bytes; default 256 MiB, at most 2 GiB
	MaxDepth int   // nesting of elements; default 256
	MaxNames int   // distinct names of elements and attributes; default 65,536
}

const (
	defaultMaxBytes = 256 << 20
	defaultMaxDepth = 256
	defaultMaxNames = 1 << 16
)

func (l Limits) orDefault() Limits {
	if l.MaxBytes <= 0 {
		l.MaxBytes = defaultMaxBytes
	}
	if l.MaxDepth <= 0 {
		l.MaxDepth = defaultMaxDepth
	}
	if l.MaxNames <= 0 {
		l.MaxNames = defaultMaxNames
	}
	l.MaxBytes = min(l.MaxBytes, math.MaxInt32)
	return l
}

// Read reads a document. The name is what places in it will show as the file.
// The Document is never nil without an error: it holds what could be read
// before the first fault that XML does not let a reader pass, and it is whole
// when there are no faults. The error is that of the reader.
func Read(name string, r io.Reader, lim Limits) (*Document, []Fault, error) {
	size := int64(0)
	if sized, ok := r.(interface{ Len() int }); ok {
		size = int64(sized.Len())
	}
	return readSized(name, r, size, lim.orDefault())
}

// ReadFile reads the document of a path.
func ReadFile(path string, lim Limits) (*Document, []Fault, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, nil, fmt.Errorf("open ticket: %w", err)
	}
	defer f.Close()
	size := int64(0)
	if info, err := f.Stat(); err == nil {
		if info.IsDir() {
			return nil, nil, fmt.Errorf("open ticket: %q is a folder: %w", path, errors.ErrUnsupported)
		}
		size = info.Size()
	}
	return readSized(path, f, size, lim.orDefault())
}

// readSized reads a document of about the size in bytes.
func readSized(name string, r io.Reader, size int64, lim Limits) (*Document, []Fault, error) {
	raw, err := readAll(r, min(max(size, 0), lim.MaxBytes)+1, lim.MaxBytes)
	if err != nil {
		return nil, nil, fmt.Errorf("read ticket %q: %w", name, err)
	}
	if int64(len(raw)) > lim.MaxBytes {
		doc, faults := refuse(NewSource(name, ""), Fault{
			Code: FaultTooLarge, Want: strconv.FormatInt(lim.MaxBytes, 10),
		})
		return doc, faults, nil
	}
	doc, faults := parse(name, raw, lim)
	return doc, faults, nil
}

// readAll reads what a reader gives, up to one byte more than most. The size is
// what to make room for at once.
func readAll(r io.Reader, size, most int64) (string, error) {
	raw := make([]byte, 0, max(size, 512))
	inHugePages(raw)
	for int64(len(raw)) <= most {
		if len(raw) == cap(raw) {
			raw = slices.Grow(raw, len(raw))
		}
		n, err := r.Read(raw[len(raw):min(int64(cap(raw)), most+1)])
		raw = raw[:len(raw)+n]
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return "", err
		}
	}
	// Nobody else has the bytes, and nobody will write to them.
	return unsafe.String(unsafe.SliceData(raw), len(raw)), nil
}

// refuse is the answer to bytes that are not looked into.
func refuse(src *Source, f Fault) (*Document, []Fault) {
	f.Place.Source = src
	return &Document{Source: src, nodes: make([]node, 1)}, []Fault{f}
}

func parse(name, raw string, lim Limits) (*Document, []Fault) {
	d := decode(name, raw)
	if d.fatal {
		doc, faults := refuse(d.source, d.faults[0])
		doc.Encoding = d.encoding
		return doc, faults
	}
	// Two or three bytes may have come of one, and offsets are 32 bits wide.
	if len(d.source.Text) > math.MaxInt32 {
		return refuse(NewSource(name, ""), Fault{Code: FaultTooLarge, Want: strconv.Itoa(math.MaxInt32)})
	}
	doc := &Document{Source: d.source, Encoding: d.encoding}
	d.source.doc = doc
	s := newScanner(doc, lim, d.faults)
	s.scan()
	if root := doc.Root(); root.Valid() {
		doc.Kind = kindOf(root.Name())
		doc.Version, _ = ParseVersion(root.Get("Version"))
	}
	faults := s.faults
	s.release()
	return doc, faults
}
