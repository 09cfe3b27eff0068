package pack

import (
	"encoding/base64"
	"errors"
	"io"
	"mime/quotedprintable"
)

// The transfer encodings of RFC 2045, section 6.
const (
	sevenBit        = "7bit"
	eightBit        = "8bit"
	binary          = "binary"
	quotedPrintable = "quoted-printable"
	base64Encoding  = "base64"
)

// identity are the encodings that leave the bytes as they are; none given
// means 7bit. Senders put UTF-8 into 7bit parts all the time, and there is one
// way only to read it.
var identity = []string{"", sevenBit, eightBit, binary}

var decoders = map[string]func(io.Reader) io.Reader{
	"": same, sevenBit: same, eightBit: same, binary: same,
	quotedPrintable: func(r io.Reader) io.Reader { return quotedprintable.NewReader(&escapes{r: r}) },
	base64Encoding: func(r io.Reader) io.Reader {
		return base64.NewDecoder(base64.StdEncoding.Strict(), &blankless{r: r})
	},
}

func same(r io.Reader) io.Reader { return r }

// blankless takes white space out. RFC 2045, section 6.8 lets a reader skip
// every other foreign character as well; here those are damage.
type blankless struct{ r io.Reader }

func (b *blankless) Read(p []byte) (int, error) {
	for {
		n, err := b.r.Read(p)
		kept := 0
		for _, c := range p[:n] {
			if c != ' ' && c != '\t' && c != '\r' && c != '\n' {
				p[kept] = c
				kept++
			}
		}
		if kept > 0 || err != nil || len(p) == 0 {
			return kept, err
		}
	}
}

// errEscape says that an = in quoted-printable text starts nothing.
var errEscape = errors.New("an = that neither escapes a byte nor ends a line")

// escapes looks at each = of quoted-printable text (RFC 2045, section 6.7).
// mime/quotedprintable takes a wrong one for a letter, and so lets bytes pass
// that another reader would drop.
type escapes struct {
	r     io.Reader
	state byte // 0 plain, '=' after one, 'x' after one digit, ' ' in blanks before the line end
}

func (e *escapes) Read(p []byte) (int, error) {
	n, err := e.r.Read(p)
	for i, c := range p[:n] {
		if !e.step(c) {
			return i, errEscape
		}
	}
	if err == io.EOF && e.state != 0 {
		err = errEscape
	}
	return n, err
}

func (e *escapes) step(c byte) bool {
	_, digit := hexDigit(c)
	blank := c == ' ' || c == '\t' || c == '\r'
	switch {
	case e.state == 0:
		if c == '=' {
			e.state = '='
		}
	case e.state == '=' && digit:
		e.state = 'x'
	case e.state == 'x' && digit, e.state != 'x' && c == '\n':
		e.state = 0
	case e.state != 'x' && blank:
		e.state = ' '
	default:
		return false
	}
	return true
}

// source marks the errors of the package's own reader, so that they are told
// apart from damage.
type source struct{ r io.ReaderAt }

type sourceError struct{ error }

func (e *sourceError) Unwrap() error { return e.error }

func (s source) ReadAt(p []byte, off int64) (int, error) {
	n, err := s.r.ReadAt(p, off)
	if err != nil && err != io.EOF {
		err = &sourceError{err}
	}
	return n, err
}

// partReader turns what is wrong with the bytes into a partError.
type partReader struct {
	r    io.Reader
	part string // the encoding, for the message
}

func (p *partReader) Read(b []byte) (int, error) {
	n, err := p.r.Read(b)
	return n, damage(err, p.part)
}

func damage(err error, encoding string) error {
	if err == nil || err == io.EOF {
		return err
	}
	if _, ok := errors.AsType[*sourceError](err); ok {
		return err
	}
	return &partError{got: err.Error(), want: "whole " + encoding + " data"}
}
