// Package pdf reads the version and the page boxes of PDFs, for package
// packages. It stands apart since the library that it reads with is large.
package pdf

import (
	"context"
	"errors"
	"fmt"
	"io"

	"github.com/pdfcpu/pdfcpu/pkg/pdfcpu"
	"github.com/pdfcpu/pdfcpu/pkg/pdfcpu/model"
	"github.com/pdfcpu/pdfcpu/pkg/pdfcpu/types"

	"quoin/validate/packages"
)

// Bounds of what a PDF may make the reader do.
const (
	maxPages  = 100_000
	maxDepth  = 64
	maxStream = 64 << 20 // bytes of one stream, unpacked: object and reference streams alone are
	maxCount  = 2_000_000
)

// Reader reads PDFs with pdfcpu, without its configuration folder and without a
// look at the network. It is a packages.PDFReader.
type Reader struct{}

// Read gives the version and the page boxes.
func (Reader) Read(ctx context.Context, r io.ReadSeeker) (*packages.PDF, error) {
	limits := model.DefaultResourceLimits()
	limits.MaxDecodeBytes = maxStream
	limits.MaxObjectCount, limits.MaxXRefEntries = maxCount, maxCount
	limits.MaxObjectStreamCount = maxCount
	limits.MaxRecursionDepth = maxDepth
	c, err := pdfcpu.ReadWithContext(ctx, r, &model.Configuration{
		Reader15: true, ValidationMode: model.ValidationRelaxed, Offline: true, Limits: limits,
	})
	switch {
	case errors.Is(err, pdfcpu.ErrWrongPassword):
		return nil, errors.New("it wants a password")
	case err != nil:
		return nil, fmt.Errorf("its structure is broken: %w", err)
	}
	root, err := c.Pages()
	if err != nil {
		return nil, fmt.Errorf("its page tree is broken: %w", err)
	}
	if root == nil {
		return nil, errors.New("it has no page tree")
	}
	w := &pageWalk{ctx: ctx, file: c.XRefTable, seen: map[int]bool{}}
	if err := w.node(*root, inherited{unit: 1}, 0); err != nil {
		return nil, fmt.Errorf("its page tree is broken: %w", err)
	}
	if len(w.pages) == 0 {
		return nil, errors.New("it has no pages")
	}
	return &packages.PDF{Version: c.XRefTable.VersionString(), Pages: w.pages}, nil
}

// inherited is what a node of the page tree hands down (ISO 32000-2, section
// 7.7.3.4). It is passed by value, so that no page takes over what its
// neighbour has.
type inherited struct {
	media, crop *packages.Box
	rotate      int
	unit        float64 // UserUnit is not inherited; it is kept for the page at hand
}

// pageWalk walks the page tree.
type pageWalk struct {
	ctx   context.Context
	file  *model.XRefTable
	seen  map[int]bool
	pages []packages.Page
}

func (w *pageWalk) node(ref types.IndirectRef, in inherited, depth int) error {
	number := ref.ObjectNumber.Value()
	switch {
	case depth > maxDepth:
		return errors.New("it is nested too deep")
	case w.seen[number]:
		return fmt.Errorf("object %d stands in it twice", number)
	case len(w.pages) >= maxPages:
		return fmt.Errorf("it has more than %d pages", maxPages)
	}
	w.seen[number] = true
	if err := w.ctx.Err(); err != nil {
		return err
	}
	d, err := w.file.DereferenceDict(ref)
	if err != nil {
		return fmt.Errorf("object %d: %w", number, err)
	}
	if in, err = w.take(d, in); err != nil {
		return fmt.Errorf("object %d: %w", number, err)
	}
	kids, found := d.Find("Kids")
	if !found {
		page, err := w.page(d, in)
		if err != nil {
			return fmt.Errorf("page %d: %w", len(w.pages)+1, err)
		}
		w.pages = append(w.pages, page)
		return nil
	}
	list, err := w.file.DereferenceArray(kids)
	if err != nil {
		return fmt.Errorf("object %d: %w", number, err)
	}
	for _, kid := range list {
		next, ok := kid.(types.IndirectRef)
		if !ok {
			return fmt.Errorf("object %d has a kid that is no reference", number)
		}
		if err := w.node(next, in, depth+1); err != nil {
			return err
		}
	}
	return nil
}

// take adds what a node says itself to what it inherits.
func (w *pageWalk) take(d types.Dict, in inherited) (inherited, error) {
	for _, box := range []struct {
		name string
		to   **packages.Box
	}{{"MediaBox", &in.media}, {"CropBox", &in.crop}} {
		b, err := w.box(d, box.name)
		if err != nil {
			return in, err
		}
		if b != nil {
			*box.to = b
		}
	}
	if o, found := d.Find("Rotate"); found {
		n, err := w.number(o)
		if err != nil {
			return in, fmt.Errorf("read the rotation of a page: %w", err)
		}
		in.rotate = int(n)
	}
	in.unit = 1
	if o, found := d.Find("UserUnit"); found {
		n, err := w.number(o)
		if err != nil || n <= 0 {
			return in, errors.New("UserUnit is no positive number")
		}
		in.unit = n
	}
	return in, nil
}

// page makes the boxes of a page; those that it does not give have the
// defaults of ISO 32000-2, section 14.11.2.
func (w *pageWalk) page(d types.Dict, in inherited) (packages.Page, error) {
	if in.media == nil {
		return packages.Page{}, errors.New("it has no MediaBox")
	}
	p := packages.Page{Media: *in.media, Crop: *in.media}
	if in.crop != nil {
		p.Crop = in.crop.Meet(p.Media)
	}
	p.Trim, p.Bleed = p.Crop, p.Crop
	trim, err := w.box(d, "TrimBox")
	if err != nil {
		return packages.Page{}, err
	}
	bleed, err := w.box(d, "BleedBox")
	if err != nil {
		return packages.Page{}, err
	}
	if trim != nil {
		p.Trim, p.HasTrim = *trim, true
	}
	if bleed != nil {
		p.Bleed = *bleed
	}
	for _, b := range []*packages.Box{&p.Media, &p.Crop, &p.Trim, &p.Bleed} {
		*b = upright(*b, in.rotate, in.unit)
	}
	return p, nil
}

// corners is the box between two of its corners.
func corners(llx, lly, urx, ury float64) packages.Box {
	return packages.Box{LLX: llx, LLY: lly, URX: urx, URY: ury}
}

// upright turns a box clockwise by a multiple of 90 degrees and scales it.
func upright(b packages.Box, rotate int, unit float64) packages.Box {
	switch ((rotate % 360) + 360) % 360 {
	case 90:
		b = corners(b.LLY, -b.URX, b.URY, -b.LLX)
	case 180:
		b = corners(-b.URX, -b.URY, -b.LLX, -b.LLY)
	case 270:
		b = corners(-b.URY, b.LLX, -b.LLY, b.URX)
	}
	return corners(b.LLX*unit, b.LLY*unit, b.URX*unit, b.URY*unit)
}

// box reads a rectangle, which may have its corners in any order (ISO 32000-2,
// section 7.9.5). It is nil when the node has none.
func (w *pageWalk) box(d types.Dict, name string) (*packages.Box, error) {
	o, found := d.Find(name)
	if !found {
		return nil, nil
	}
	a, err := w.file.DereferenceArray(o)
	if err != nil || len(a) != 4 {
		return nil, fmt.Errorf("%s is no list of four numbers", name)
	}
	var n [4]float64
	for i := range n {
		if n[i], err = w.number(a[i]); err != nil {
			return nil, fmt.Errorf("%s is no list of four numbers", name)
		}
	}
	b := corners(min(n[0], n[2]), min(n[1], n[3]), max(n[0], n[2]), max(n[1], n[3]))
	return &b, nil
}

func (w *pageWalk) number(o types.Object) (float64, error) {
	o, err := w.file.Dereference(o)
	if err != nil {
		return 0, err
	}
	switch o := o.(type) {
	case types.Integer:
		return float64(o.Value()), nil
	case types.Float:
		return o.Value(), nil
	}
	return 0, errors.New("it is no number")
}
