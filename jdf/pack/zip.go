package pack

import (
	"archive/zip"
	"cmp"
	"errors"
	"io"
	"io/fs"
	"slices"
	"strings"
)

// directoryBytes is what a part may take on average in a ZIP's directory; with
// Limits.MaxParts it bounds what is read before the number of parts is known.
const directoryBytes = 512

// errDirectory says that a ZIP's directory is larger than its parts can need.
var errDirectory = errors.New("the directory is too large")

// meter bounds what is read through it until it is opened up. archive/zip
// makes an entry of each directory record that it finds, whatever number the
// end record tells.
type meter struct {
	io.ReaderAt
	left int64
	free bool
}

func (m *meter) ReadAt(p []byte, off int64) (int, error) {
	if m.free {
		return m.ReaderAt.ReadAt(p, off)
	}
	if m.left -= int64(len(p)); m.left < 0 {
		return 0, errDirectory
	}
	return m.ReaderAt.ReadAt(p, off)
}

// zip reads a ZIP package. What archive/zip lets pass is looked at here: names
// that lead out, equal names, links, encryption, sizes, and entries that share
// their bytes.
func (o *opener) zip() error {
	m := &meter{ReaderAt: source{o.r}, left: 256*kib + int64(o.lim.MaxParts)*directoryBytes}
	archive, err := zip.NewReader(m, o.size)
	if _, ok := errors.AsType[*sourceError](err); ok {
		return err
	}
	switch {
	case errors.Is(err, errDirectory):
		o.problem(TooManyParts, nil, "", "a directory of fewer entries")
		return nil
	case err != nil && !errors.Is(err, zip.ErrInsecurePath):
		o.problem(Damaged, nil, err.Error(), "a whole ZIP file")
		return nil
	}
	m.free = true
	var spans []span
	for _, f := range archive.File {
		if strings.HasSuffix(f.Name, "/") && f.Mode().IsDir() && f.UncompressedSize64 == 0 {
			if reason := unsafeName(strings.TrimSuffix(f.Name, "/")); reason == "" {
				continue
			}
		}
		part := &Part{Name: f.Name, Size: int64(f.UncompressedSize64)}
		if !o.add(part) {
			break
		}
		s, err := o.entry(part, f)
		if err != nil {
			return err
		}
		if s.part != nil {
			spans = append(spans, s)
		}
	}
	o.overlaps(spans)
	return nil
}

// span is where the packed bytes of a part lie.
type span struct {
	part       *Part
	start, end int64
}

// entry looks at one entry. The span has no part when the entry is refused.
func (o *opener) entry(part *Part, f *zip.File) (span, error) {
	name := strings.TrimSuffix(f.Name, "/")
	switch {
	case unsafeName(name) != "":
		o.problem(UnsafePath, part, f.Name, "a plain relative name; it holds "+unsafeName(name))
	case f.Mode()&fs.ModeType != 0:
		o.problem(Link, part, f.Mode().String(), "a regular file")
	case f.Flags&0x1 != 0: // general purpose bit 0
		o.problem(Encrypted, part, "a password", "a part that anybody can read")
	case f.Method != zip.Store && f.Method != zip.Deflate:
		o.problem(Method, part, methodName(f.Method), "stored or deflated")
	case f.UncompressedSize64 > 1<<62 || f.CompressedSize64 > 1<<62:
		o.problem(PartTooLarge, part, "an impossible size", "at most "+bytesText(o.lim.MaxPartBytes))
	}
	if part.refused {
		return span{}, nil
	}
	start, err := f.DataOffset()
	if _, ok := errors.AsType[*sourceError](err); ok {
		return span{}, err
	}
	packed := int64(f.CompressedSize64)
	if err != nil || packed > o.size-start {
		o.problem(PartDamaged, part, "a directory entry that leads to no file", "whole ZIP data")
		return span{}, nil
	}
	part.Offset = start
	part.open = func() (io.ReadCloser, error) {
		r, err := f.Open()
		if err != nil {
			return nil, damage(err, "ZIP")
		}
		return &zipReader{partReader{r: r, part: "ZIP"}, r}, nil
	}
	o.weigh(part, packed)
	return span{part, start, start + packed}, nil
}

type zipReader struct {
	partReader
	io.Closer
}

func methodName(method uint16) string {
	names := map[uint16]string{
		9: "Deflate64", 12: "bzip2", 14: "LZMA", 93: "Zstandard", 95: "XZ", 98: "PPMd", 99: "AES",
	}
	return cmp.Or(names[method], "an unknown method")
}

// overlaps finds entries that share packed bytes, with which a small file
// unpacks to any size however modest each ratio is.
func (o *opener) overlaps(spans []span) {
	slices.SortStableFunc(spans, func(a, b span) int {
		return cmp.Or(cmp.Compare(a.start, b.start), cmp.Compare(a.end, b.end))
	})
	end := int64(0)
	for _, s := range spans {
		if s.start < end && s.end > s.start && !s.part.refused {
			o.problem(Bomb, s.part, "bytes shared with another part", "bytes of its own")
		}
		end = max(end, s.end)
	}
}
