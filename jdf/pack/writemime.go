package pack

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"io"
	"mime"
	"mime/quotedprintable"
	"slices"
	"strings"
)

// WriteMIME writes a MIME multipart/related package of the parts in the order
// given, the root first. A part's Encoding chooses how it is written; "" means
// base64, which carries anything. The same parts give the same bytes.
func WriteMIME(w io.Writer, parts []*Part) error {
	if err := check(parts); err != nil {
		return err
	}
	if len(parts) == 0 {
		return fmt.Errorf("write package: it has no parts")
	}
	sum := sha256.New()
	for i, part := range parts {
		if err := checkMIME(i, part); err != nil {
			return err
		}
		fmt.Fprintf(sum, "%q%q%q%q", part.Name, part.ID, part.Type, part.Encoding)
		if err := copyPart(sum, part); err != nil {
			return err
		}
	}
	// A hash of all that the package holds stands in none of it.
	boundary := "=_" + hex.EncodeToString(sum.Sum(nil))[:40]
	params := map[string]string{"boundary": boundary, "type": partType(parts[0])}
	if parts[0].ID != "" {
		params["start"] = "<" + parts[0].ID + ">"
	}
	out := &errWriter{w: w}
	out.line("MIME-Version: 1.0")
	out.line("Content-Type: " + fold76(mime.FormatMediaType("multipart/related", params)))
	for _, part := range parts {
		out.line("")
		out.line("--" + boundary)
		if err := writePart(out, part); err != nil {
			return err
		}
	}
	out.line("")
	out.line("--" + boundary + "--")
	if out.err != nil {
		return fmt.Errorf("write package: %w", out.err)
	}
	return nil
}

// fold76 breaks a header value after its semicolons, to keep lines short.
func fold76(value string) string { return strings.ReplaceAll(value, "; ", ";\r\n\t") }

func partType(part *Part) string {
	if part.Type == "" {
		return "application/octet-stream"
	}
	return part.Type
}

func checkMIME(i int, part *Part) error {
	kind, params, err := mime.ParseMediaType(partType(part))
	if err != nil || len(params) > 0 || kind != partType(part) || !strings.Contains(kind, "/") {
		return fmt.Errorf("write part %d: %q is not a media type; want a form such as application/pdf", i+1, part.Type)
	}
	if _, ok := decoders[part.Encoding]; !ok {
		return fmt.Errorf("write part %d: %q is not a transfer encoding", i+1, part.Encoding)
	}
	if strings.ContainsFunc(part.Location, func(r rune) bool { return r < ' ' || r > '~' }) {
		return fmt.Errorf("write part %d: %q can not be a Content-Location", i+1, part.Location)
	}
	return nil
}

func writePart(out *errWriter, part *Part) error {
	out.line("Content-Type: " + partType(part))
	encoding := part.Encoding
	if encoding == "" {
		encoding = base64Encoding
	}
	out.line("Content-Transfer-Encoding: " + encoding)
	if part.ID != "" {
		out.line("Content-ID: <" + part.ID + ">")
	}
	if part.Location != "" {
		out.line("Content-Location: " + part.Location)
	}
	if part.Name != "" {
		params := map[string]string{"filename": part.Name}
		out.line("Content-Disposition: " + mime.FormatMediaType("attachment", params))
	}
	out.line("")
	switch encoding {
	case base64Encoding:
		e := base64.NewEncoder(base64.StdEncoding, &wrapper{out: out})
		if err := copyPart(e, part); err != nil {
			return err
		}
		return e.Close()
	case quotedPrintable:
		q := quotedprintable.NewWriter(out)
		q.Binary = true // every byte comes back, line ends too
		if err := copyPart(q, part); err != nil {
			return err
		}
		return q.Close()
	case binary:
		return copyPart(out, part)
	}
	return writeText(out, part, encoding)
}

// writeText writes 7bit and 8bit parts, which RFC 2045, sections 2.7 and 2.8,
// allow to be lines of at most 998 bytes that end in CRLF alone.
func writeText(out *errWriter, part *Part, encoding string) error {
	data, err := content(part)
	if err != nil {
		return err
	}
	bare := bytes.ReplaceAll(data, []byte("\r\n"), nil)
	long := slices.ContainsFunc(bytes.Split(data, []byte("\r\n")), func(l []byte) bool { return len(l) > 998 })
	high := encoding == sevenBit && slices.ContainsFunc(data, func(c byte) bool { return c >= 0x80 })
	if long || high || bytes.ContainsAny(bare, "\r\n\x00") {
		return fmt.Errorf(
			"write part %q: its bytes are not %s text; want base64 or quoted-printable", part.Label(), encoding,
		)
	}
	_, err = out.Write(data)
	return err
}

// wrapper breaks base64 into the lines of 76 characters of RFC 2045, section 6.8.
type wrapper struct {
	out    *errWriter
	column int
}

func (l *wrapper) Write(p []byte) (int, error) {
	n := len(p)
	for len(p) > 0 {
		if l.column == 76 {
			l.out.line("")
			l.column = 0
		}
		take := min(len(p), 76-l.column)
		if _, err := l.out.Write(p[:take]); err != nil {
			return 0, err
		}
		p, l.column = p[take:], l.column+take
	}
	return n, nil
}

// errWriter keeps the first error, so that it is asked once.
type errWriter struct {
	w   io.Writer
	err error
}

func (e *errWriter) Write(p []byte) (int, error) {
	if e.err != nil {
		return 0, e.err
	}
	n, err := e.w.Write(p)
	e.err = err
	return n, err
}

func (e *errWriter) line(s string) { _, _ = io.WriteString(e, s+"\r\n") }
