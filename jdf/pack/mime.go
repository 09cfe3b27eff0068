package pack

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"slices"
	"strings"
)

// lineBuffer bounds the pieces in which a MIME message is looked through. A
// boundary line is never longer.
const lineBuffer = 64 * kib

// mime reads a message with its own headers.
func (o *opener) mime() error {
	in := o.lines(0)
	first, err := in.next()
	if err != nil {
		return err
	}
	if bytes.HasPrefix(first.text, []byte("--")) {
		o.problem(Boundary, nil, "a boundary before any header",
			`Content-Type: multipart/related; boundary="…" as the head of the file`)
		return nil
	}
	in.back()
	h, fault, err := readHeader(in, o.lim.MaxHeader, func([]byte) bool { return false })
	if err != nil {
		return err
	}
	if fault != nil {
		o.problem(fault.code, nil, fault.got, fault.want)
		if fault.code == HeaderTooLarge {
			return nil
		}
	}
	return o.mimeBody(h, in.at)
}

// mimeBody reads the parts of a message whose header is known.
func (o *opener) mimeBody(h header, start int64) error {
	kind, params, fault := h.mediaType()
	switch {
	case fault != nil:
		o.problem(fault.code, nil, fault.got, "Content-Type: multipart/related")
		return nil
	case kind != "multipart/related":
		o.problem(NotRelated, nil, kind, "multipart/related")
		if !strings.HasPrefix(kind, "multipart/") {
			return nil
		}
	}
	if encoding := strings.ToLower(h.get("content-transfer-encoding")); !slices.Contains(identity, encoding) {
		o.problem(TransferEncoding, nil, encoding, "7bit, 8bit or binary for the message as a whole")
		return nil
	}
	boundary := params["boundary"]
	if reason := badBoundary(boundary); reason != "" {
		o.problem(Boundary, nil, reason, "a boundary parameter of 1 to 70 characters (RFC 2046, section 5.1.1)")
		return nil
	}
	o.RootType = strings.ToLower(params["type"])
	if err := o.scan(boundary, start); err != nil {
		return err
	}
	return o.root(params["start"])
}

// root finds the part that the others belong to (RFC 2387, section 3.2).
func (o *opener) root(start string) error {
	if len(o.Parts) == 0 {
		return nil
	}
	o.Root = o.Parts[0]
	if start == "" {
		return nil
	}
	id := strings.TrimSuffix(strings.TrimPrefix(start, "<"), ">")
	for _, part := range o.Parts {
		if part.ID == id {
			o.Root = part
			return nil
		}
	}
	o.problem(Start, nil, start, "the Content-ID of a part")
	return nil
}

// badBoundary holds a boundary against the grammar of RFC 2046, section 5.1.1.
func badBoundary(b string) string {
	switch {
	case b == "":
		return "no boundary"
	case len(b) > 70:
		return "a boundary of more than 70 characters"
	case b[len(b)-1] == ' ':
		return "a boundary that ends in a blank"
	}
	for _, c := range []byte(b) {
		if !isLetter(c) && (c < '0' || c > '9') && !strings.ContainsRune("'()+_,-./:=? ", rune(c)) {
			return "a boundary with a character that is not allowed: " + b
		}
	}
	return ""
}

func (o *opener) lines(start int64) *lines {
	r := bufio.NewReaderSize(io.NewSectionReader(source{o.r}, start, o.size-start), lineBuffer)
	return &lines{r: r, at: start}
}

// scan cuts the message at its boundaries. A part's body ends before the line
// end that precedes the boundary (RFC 2046, section 5.1.1); what stands before
// the first boundary and after the last is no part.
func (o *opener) scan(boundary string, start int64) error {
	in := o.lines(start)
	mark := []byte("--" + boundary)
	stop := func(text []byte) bool { d, _ := delimiter(text, mark); return d }
	var body *draft
	crlf := false
	before := 0 // bytes of line end before the line at hand
	for {
		ln, err := in.next()
		if errors.Is(err, io.EOF) {
			o.end(body, o.size)
			o.problem(Truncated, nil, "", "a line --"+boundary+"-- at the end")
			return nil
		}
		if err != nil {
			return err
		}
		isMark, last := false, false
		if ln.whole {
			isMark, last = delimiter(ln.text, mark)
		}
		if !isMark {
			before = lineEnd(ln.text)
			continue
		}
		if body == nil {
			crlf = lineEnd(ln.text) == 2
		}
		if !crlf {
			before = min(before, 1)
		}
		o.end(body, ln.at-int64(before))
		if last {
			return nil
		}
		offset := in.at
		h, fault, err := readHeader(in, o.lim.MaxHeader, stop)
		if err != nil {
			return err
		}
		body, before = &draft{header: h, offset: offset, start: in.at, fault: fault}, 0
		if in.keep {
			body.start = in.cur.at
		}
		if len(o.Parts) >= o.lim.MaxParts {
			o.end(body, body.start)
			return nil
		}
	}
}

func lineEnd(text []byte) int {
	switch {
	case bytes.HasSuffix(text, []byte("\r\n")):
		return 2
	case bytes.HasSuffix(text, []byte("\n")):
		return 1
	}
	return 0
}

// delimiter tells whether a line is a boundary, and whether it is the last. Only
// white space may follow it.
func delimiter(text, mark []byte) (is, last bool) {
	rest, ok := bytes.CutPrefix(text, mark)
	if !ok {
		return false, false
	}
	rest = bytes.TrimRight(rest, " \t\r\n")
	last = bytes.Equal(rest, []byte("--"))
	return len(rest) == 0 || last, last
}

// draft is a part whose end is not known yet.
type draft struct {
	header        header
	offset, start int64
	fault         *headerFault
}

// end makes the part of a draft.
func (o *opener) end(d *draft, end int64) {
	if d == nil {
		return
	}
	part := &Part{Offset: d.offset}
	if !o.add(part) {
		return
	}
	note := func(fault *headerFault) {
		if fault != nil && !part.refused {
			o.problem(fault.code, part, fault.got, fault.want)
		}
	}
	part.Location = d.header.get("content-location")
	id, idFault := d.header.contentID()
	part.ID = id
	kind, params, typeFault := "text/plain", map[string]string(nil), (*headerFault)(nil) // RFC 2045, section 5.2
	if d.header.get("content-type") != "" {
		kind, params, typeFault = d.header.mediaType()
	}
	part.Type = kind
	name, nameFault := d.header.fileName(params)
	if reason := unsafeName(name); name != "" && reason != "" && nameFault == nil {
		nameFault = &headerFault{UnsafePath, name, "a plain relative name; it holds " + reason}
	}
	part.Name = name
	for _, fault := range []*headerFault{d.fault, idFault, typeFault, nameFault} {
		note(fault)
	}
	part.Encoding = strings.ToLower(d.header.get("content-transfer-encoding"))
	o.body(part, d.start, max(end, d.start))
}

// body sets how the part is read, and reads it once, so that its size is known
// and its encoding sound.
func (o *opener) body(part *Part, start, end int64) {
	raw := func() io.Reader { return io.NewSectionReader(source{o.r}, start, end-start) }
	decode, ok := decoders[part.Encoding]
	if !ok {
		o.problem(TransferEncoding, part, part.Encoding, "7bit, 8bit, binary, quoted-printable or base64")
		return
	}
	part.open = func() (io.ReadCloser, error) {
		return io.NopCloser(&partReader{r: decode(raw()), part: part.Encoding}), nil
	}
	if part.refused {
		return
	}
	part.Size = end - start
	if !slices.Contains(identity, part.Encoding) {
		size, err := io.Copy(
			io.Discard, io.LimitReader(&partReader{r: decode(raw()), part: part.Encoding}, o.lim.MaxPartBytes+1),
		)
		if damage, ok := errors.AsType[*partError](err); ok {
			o.problem(PartDamaged, part, damage.got, damage.want)
			return
		}
		part.Size = size
	}
	o.weigh(part, end-start)
}
