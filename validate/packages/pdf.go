package packages

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
)

// Box is a rectangle of a page in points, between its lower left and its upper
// right corner.
type Box struct{ LLX, LLY, URX, URY float64 }

// Width is in points.
func (b Box) Width() float64 { return b.URX - b.LLX }

// Height is in points.
func (b Box) Height() float64 { return b.URY - b.LLY }

// Within reports whether the box lies inside another, letting a point of
// rounding pass.
func (b Box) Within(o Box) bool {
	return b.LLX >= o.LLX-rounding && b.LLY >= o.LLY-rounding && b.URX <= o.URX+rounding && b.URY <= o.URY+rounding
}

// Meet is what two boxes share.
func (b Box) Meet(o Box) Box {
	return Box{max(b.LLX, o.LLX), max(b.LLY, o.LLY), min(b.URX, o.URX), min(b.URY, o.URY)}
}

// Page is the boxes of one page, as seen upright: turned by its rotation and
// scaled by its user unit (ISO 32000-2, sections 7.7.3.3 and 14.11.2).
type Page struct {
	Media   Box
	Crop    Box
	Trim    Box
	Bleed   Box
	HasTrim bool // the file gives the TrimBox; without, it is the CropBox
}

// PDF is what the checks want to know of a PDF file.
type PDF struct {
	Version string // such as 1.7
	Pages   []Page
}

// PDFReader reads PDF files, as pdf.Reader does. What it is given is hostile: it
// may fail, and what it does beyond that is kept from doing harm where it is called.
type PDFReader interface {
	Read(ctx context.Context, r io.ReadSeeker) (*PDF, error)
}

// ErrNoReader is the error of a check that has a PDF to look into and no PDFReader.
var ErrNoReader = errors.New("there is nothing to read PDFs with")

// errPDFTime is the error of a PDF that could not be read in its time.
var errPDFTime = errors.New("it takes too long to read")

// pdfResult is a PDF, or why there is none.
type pdfResult struct {
	*PDF
	problem string // it is no PDF that can be read
	skipped string // it was not looked into
}

// pdf reads the PDF of an asset once.
func (c *check) pdf(a *asset) (*pdfResult, error) {
	if r, ok := c.pdfs[a.key]; ok {
		return r, nil
	}
	r := &pdfResult{}
	c.pdfs[a.key] = r
	if a.size > c.opt.MaxPDF {
		r.skipped = fmt.Sprintf("it has %d bytes, over the limit of %d", a.size, c.opt.MaxPDF)
		return r, nil
	}
	if c.opt.PDF == nil {
		return nil, ErrNoReader
	}
	data, err := c.load(a)
	if err != nil {
		return nil, err
	}
	r.PDF, err = guarded(c.ctx, c.opt, data)
	switch {
	case errors.Is(err, errPDFTime):
		r.skipped = errPDFTime.Error()
	case c.ctx.Err() != nil:
		return nil, c.ctx.Err()
	case err != nil:
		r.problem = err.Error()
	}
	return r, nil
}

// load reads an asset of modest size into memory.
func (c *check) load(a *asset) ([]byte, error) {
	r, err := a.open()
	if err != nil {
		return nil, fmt.Errorf("read file %q: %w", a.key, err)
	}
	defer r.Close()
	data, err := io.ReadAll(io.LimitReader(r, c.opt.MaxPDF))
	if err != nil {
		return nil, fmt.Errorf("read file %q: %w", a.key, err)
	}
	return data, nil
}

// guarded runs the reader where its panics and its endless loops do no harm.
// A reader that does not heed its context goes on by itself until it ends.
func guarded(ctx context.Context, opt Options, data []byte) (*PDF, error) {
	ctx, cancel := context.WithTimeout(ctx, opt.PDFTime)
	defer cancel()
	type outcome struct {
		pdf *PDF
		err error
	}
	done := make(chan outcome, 1)
	go func() {
		var o outcome
		defer func() {
			if r := recover(); r != nil {
				o = outcome{err: fmt.Errorf("its structure is broken (%v)", r)}
			}
			done <- o
		}()
		o.pdf, o.err = opt.PDF.Read(ctx, bytes.NewReader(data))
	}()
	select {
	case o := <-done:
		if errors.Is(o.err, context.DeadlineExceeded) {
			return nil, errPDFTime
		}
		return o.pdf, o.err
	case <-ctx.Done():
		return nil, errPDFTime
	}
}
