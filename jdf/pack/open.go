package pack

import (
	"bytes"
	"fmt"
	"io"
	"strings"
)

// SniffLength is the number of bytes from the start that Sniff wants to see.
const SniffLength = 4 * kib

// Sniff tells by the first bytes whether a file is a package. Names count for
// nothing.
func Sniff(head []byte) Format {
	switch {
	case bytes.HasPrefix(head, []byte("PK\x03\x04")), bytes.HasPrefix(head, []byte("PK\x05\x06")):
		return ZIP
	case looksMIME(head):
		return MIME
	}
	return None
}

// looksMIME wants header fields from the very first byte, and one among them
// that says MIME; or a boundary with such a field below, which is a message
// that lost its head.
func looksMIME(head []byte) bool {
	first := true
	for line := range bytes.Lines(head) {
		line = bytes.TrimRight(line, "\r\n")
		if first && bytes.HasPrefix(line, []byte("--")) {
			first = false
			continue
		}
		if len(line) == 0 {
			return false
		}
		if line[0] == ' ' || line[0] == '\t' {
			if first {
				return false
			}
			continue
		}
		first = false
		name, _, ok := bytes.Cut(line, []byte(":"))
		if !ok || !isFieldName(string(name)) {
			return false
		}
		if lower := strings.ToLower(string(name)); lower == "mime-version" || strings.HasPrefix(lower, "content-") {
			return true
		}
	}
	return false
}

// Open reads a package. The name is what is shown for the file. The Package is
// never nil without an error: it holds the parts that could be told apart, and
// it is whole when there are no problems. The error is that of the reader, or
// says that the bytes are no package at all.
func Open(name string, r io.ReaderAt, size int64, lim Limits) (*Package, []Problem, error) {
	lim = lim.orDefault()
	head := make([]byte, min(size, SniffLength))
	if n, err := r.ReadAt(head, 0); err != nil && (err != io.EOF || n < len(head)) {
		return nil, nil, fmt.Errorf("read package %q: %w", name, err)
	}
	p := &Package{Name: name, Format: Sniff(head)}
	if p.Format == None {
		return nil, nil, fmt.Errorf("read package %q: it is neither a ZIP nor a MIME message", name)
	}
	if size > lim.MaxBytes {
		return p, []Problem{{Code: TooLarge, Got: bytesText(size), Want: "at most " + bytesText(lim.MaxBytes)}}, nil
	}
	o := &opener{Package: p, r: r, size: size, lim: lim}
	var err error
	if p.Format == ZIP {
		err = o.zip()
	} else {
		err = o.mime()
	}
	if err != nil {
		return nil, nil, fmt.Errorf("read package %q: %w", name, err)
	}
	o.finish()
	return p, o.problems, nil
}

// OpenMIME reads a MIME package whose headers came apart from it, as a
// Content-Type of HTTP does.
func OpenMIME(name, contentType string, r io.ReaderAt, size int64, lim Limits) (*Package, []Problem, error) {
	lim = lim.orDefault()
	p := &Package{Name: name, Format: MIME}
	if size > lim.MaxBytes {
		return p, []Problem{{Code: TooLarge, Got: bytesText(size), Want: "at most " + bytesText(lim.MaxBytes)}}, nil
	}
	o := &opener{Package: p, r: r, size: size, lim: lim}
	if err := o.mimeBody(header{{name: "content-type", value: contentType}}, 0); err != nil {
		return nil, nil, fmt.Errorf("read package %q: %w", name, err)
	}
	o.finish()
	return p, o.problems, nil
}

// opener gathers parts and problems while a package is read.
type opener struct {
	*Package
	r        io.ReaderAt
	size     int64
	lim      Limits
	problems []Problem
	total    int64
}

func (o *opener) problem(code Code, part *Part, got, want string) {
	at := int64(0)
	if part != nil {
		part.refused = code != Nested
		at = part.Offset
	}
	o.problems = append(o.problems, Problem{Code: code, Part: part, Got: got, Want: want, Offset: at})
}

// add takes a part on. It is false when there are more than the limit.
func (o *opener) add(part *Part) bool {
	if len(o.Parts) >= o.lim.MaxParts {
		o.problem(TooManyParts, nil, "", fmt.Sprintf("at most %d parts", o.lim.MaxParts))
		return false
	}
	part.index = len(o.Parts) + 1
	o.Parts = append(o.Parts, part)
	return true
}

// weigh holds the unpacked size of a part against the limits.
func (o *opener) weigh(part *Part, packed int64) {
	if part.Size > o.lim.MaxPartBytes {
		o.problem(PartTooLarge, part, bytesText(part.Size), "at most "+bytesText(o.lim.MaxPartBytes))
		return
	}
	if part.Size > ratioFloor && part.Size/max(packed, 1) > o.lim.MaxRatio {
		o.problem(Bomb, part, fmt.Sprintf("%d bytes packed into %d", part.Size, packed),
			fmt.Sprintf("at most %d to 1", o.lim.MaxRatio))
		return
	}
	before := o.total
	o.total += part.Size
	if o.total > o.lim.MaxTotal {
		part.refused = true
		if before <= o.lim.MaxTotal {
			o.problem(TotalTooLarge, nil, "", "at most "+bytesText(o.lim.MaxTotal))
		}
	}
}

// finish looks at the parts side by side.
func (o *opener) finish() {
	names, ids := map[string]*Part{}, map[string]*Part{}
	for _, part := range o.Parts {
		if part.Name != "" {
			key := fold(part.Name)
			if other, taken := names[key]; taken {
				o.problem(DuplicateName, part, part.Name, "a name other than "+other.Name)
			} else {
				names[key] = part
			}
		}
		if part.ID != "" {
			if _, taken := ids[part.ID]; taken {
				o.problem(DuplicateID, part, part.ID, "a Content-ID of its own")
			} else {
				ids[part.ID] = part
			}
		}
		o.nested(part)
	}
	if len(o.Parts) == 0 && len(o.problems) == 0 {
		o.problem(NoParts, nil, "", "a ticket or message")
	}
	o.index()
}

// nested notes a package inside the package.
func (o *opener) nested(part *Part) {
	if part.refused {
		return
	}
	r, err := part.Open()
	if err != nil {
		return // told where the part is read
	}
	defer r.Close()
	head := make([]byte, SniffLength)
	n, _ := io.ReadFull(r, head)
	if f := Sniff(head[:n]); f != None || strings.HasPrefix(part.Type, "multipart/") {
		got := f.String()
		if f == None {
			got = part.Type
		}
		o.problem(Nested, part, got, "the files themselves")
	}
}
