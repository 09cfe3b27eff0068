package plan

import (
	"fmt"
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/value"
	"quoin/validate"
)

// printed is one sheet that the operations of a ticket print.
type printed struct {
	name   string // SheetName, or "" for the only one
	press  *job.Operation
	paper  *job.Media
	style  job.Fact[string]
	pieces []standing
}

// standing is what takes some positions of a sheet: a flat piece, or a section.
type standing struct {
	id        string // of its bindery signature, or ""
	part      string // of the product
	code      job.Fact[string]
	across    int // pages on one side of a section, by its NumberUp
	up        int
	trim      job.Fact[value.XYPair] // of a page
	bleed     job.Fact[value.Length]
	box       job.Fact[value.Rectangle] // of its first position
	turned    bool
	positions int
}

// roots are the products that the ticket wants, or, where it describes none, those
// that its operations make.
func (r *request) roots() ([]*job.Product, bool) {
	if roots := r.job.RootProducts(); len(roots) > 0 {
		return roots, true
	}
	sheets := printedSheets(r.job)
	if len(sheets) == 0 {
		return nil, r.fail(nothingPrinted, r.job.Root.NamePlace(), validate.F("what", stepsOf(r.job)))
	}
	r.origins = map[*job.Product][]origin{}
	if binding := bindingOf(r.job); binding != "" {
		return []*job.Product{r.boundProduct(sheets, binding)}, true
	}
	var all []*job.Product
	for _, s := range sheets {
		for _, p := range s.pieces {
			all = append(all, r.flatProduct(s, p))
		}
	}
	return all, true
}

// stepsOf says what a ticket is for that neither wants a product nor prints.
func stepsOf(j *job.Job) string {
	var steps []string
	for _, op := range j.Operations {
		if !slices.Contains(steps, op.Type) {
			steps = append(steps, op.Type)
		}
	}
	if len(steps) == 0 {
		return "no step of work"
	}
	return "prints nothing; it is for " + validate.Choices(steps)
}

// printedSheets are the sheets of the press operations, with what stands on them.
func printedSheets(j *job.Job) []printed {
	var all []printed
	for _, op := range j.Operations {
		if !isPress(op.Type) {
			continue
		}
		for _, name := range sheetNamesOf(j, op) {
			s := printed{name: name, press: op, paper: paperFor(j, op, name)}
			if op.Printing != nil {
				s.style = op.Printing.WorkStyle
			}
			for _, l := range layoutsOf(j, name) {
				s.style = job.First(s.style, l.WorkStyle)
				s.pieces = appendPieces(s.pieces, j, l)
			}
			if len(s.pieces) == 0 {
				s.pieces = blocksOf(j, name)
			}
			if len(s.pieces) == 0 {
				s.pieces = []standing{{positions: 1}}
			}
			for i := range s.pieces {
				s.pieces[i].complete(j, name)
			}
			all = append(all, s)
		}
	}
	return all
}

// sheetNamesOf are the sheets that a press operation prints, in their order.
func sheetNamesOf(j *job.Job, op *job.Operation) []string {
	var names []string
	add := func(p job.Part) {
		if n := p.Get("SheetName"); n != "" && !slices.Contains(names, n) {
			names = append(names, n)
		}
	}
	for _, u := range slices.Concat(op.Outputs, op.Inputs) {
		if u.Component != nil || u.Media != nil {
			add(u.Part)
		}
	}
	if presses := countPresses(j); len(names) == 0 && presses == 1 {
		for _, l := range j.Layouts {
			add(l.Part)
		}
	}
	if len(names) == 0 {
		return []string{""}
	}
	return names
}

func countPresses(j *job.Job) int {
	n := 0
	for _, op := range j.Operations {
		n += boolRank(isPress(op.Type))
	}
	return n
}

// ofSheet reports whether a part speaks of a sheet, or of all of them.
func ofSheet(p job.Part, name string) bool {
	n := p.Get("SheetName")
	return n == "" || name == "" || n == name
}

func paperFor(j *job.Job, op *job.Operation, name string) *job.Media {
	for _, u := range op.Inputs {
		m := u.Media
		if u.Component != nil {
			m = u.Component.Media
		}
		if m != nil && isPaper(m) && ofSheet(u.Part, name) {
			return m
		}
	}
	for _, l := range layoutsOf(j, name) {
		if l.Paper != nil && isPaper(l.Paper) {
			return l.Paper
		}
	}
	return nil
}

func isPaper(m *job.Media) bool {
	return !m.Type.Given || m.Type.Value == "Paper" || m.Type.Value == "Other"
}

func layoutsOf(j *job.Job, name string) []*job.Layout {
	return slices.DeleteFunc(slices.Clone(j.Layouts), func(l *job.Layout) bool { return !ofSheet(l.Part, name) })
}

// appendPieces adds what stands on the positions of a layout.
func appendPieces(all []standing, j *job.Job, l *job.Layout) []standing {
	for _, p := range l.Positions {
		id := p.Signature.Value
		if id == "" {
			id = l.Part.Get("BinderySignatureName")
		}
		i := slices.IndexFunc(all, func(s standing) bool { return s.id == id })
		if i < 0 {
			i, all = len(all), append(all, newStanding(j, l, id))
			all[i].box = p.Box
			orientation := p.Node.Get("Orientation")
			all[i].turned = strings.HasSuffix(orientation, "90") || strings.HasSuffix(orientation, "270")
		}
		all[i].positions++
	}
	return all
}

// newStanding reads the bindery signature of a position, and what lies around
// its pages.
func newStanding(j *job.Job, l *job.Layout, id string) standing {
	s := standing{id: id}
	cell := around(l.Node, "StripCellParams")
	if sig := signatureOf(j, l, id); sig != nil {
		s.code = sig.Catalog
		s.part = sig.Part.Get("ProductPart")
		if s.part == "" {
			s.part = sig.Node.Get("DescriptiveName")
		}
		if n := sig.NumberUp; n.Given {
			s.across, s.up = int(n.Value.X), int(n.Value.Y)
		}
		if c := sig.Node.Child("SignatureCell"); c.Valid() {
			cell = c
		}
	}
	ignore := func(job.Fault) {} // the decoder has reported what is no number
	s.trim = job.Parsed(cell, "TrimSize", value.ParseXYPair, ignore)
	if face := job.Parsed(cell, "BleedFace", value.ParseDouble, ignore); face.Given {
		s.bleed = job.Of(value.Length(face.Value), face.Place)
	}
	return s
}

// signatureOf is the signature of a position: by its name in XJDF, by the
// reference of the stripping in JDF.
func signatureOf(j *job.Job, l *job.Layout, id string) *job.Signature {
	ref := around(l.Node, "BinderySignatureRef").Get("rRef")
	for _, s := range j.Signatures {
		if id != "" && s.ID.Value == id || ref != "" && s.ID.Value == ref {
			return s
		}
	}
	if len(j.Signatures) == 1 && id == "" {
		return j.Signatures[0]
	}
	return nil
}

// around is a child of an element, or of the partitions that enclose it.
func around(n jdf.Node, child string) jdf.Node {
	for at, kind := n, n.Local(); at.Valid() && at.Local() == kind; at = at.Parent() {
		if c := at.Child(child); c.Valid() {
			return c
		}
	}
	return jdf.Node{}
}

// blocksOf are the blocks that a sheet is cut into, where no layout tells what
// stands on it.
func blocksOf(j *job.Job, name string) []standing {
	for _, op := range j.Operations {
		if op.Cutting == nil || len(op.Cutting.Blocks) == 0 || !takesSheet(op, name) {
			continue
		}
		return []standing{{box: op.Cutting.Blocks[0].Box, positions: len(op.Cutting.Blocks)}}
	}
	return nil
}

// takesSheet reports whether an operation takes a sheet, or does not say which.
func takesSheet(op *job.Operation, name string) bool {
	said := false
	for _, u := range op.Inputs {
		if u.Component == nil {
			continue
		}
		if n := u.Part.Get("SheetName"); n == name {
			return true
		} else if n != "" {
			said = true
		}
	}
	return !said
}

// complete takes the fold from the folding of the sheet where the signature tells
// none.
func (s *standing) complete(j *job.Job, sheet string) {
	for _, op := range j.Operations {
		if f := op.Folding; f != nil && f.Catalog.Given && !s.code.Given && takesSheet(op, sheet) {
			s.code = f.Catalog
		}
	}
}

// pages is the pages of a piece, both sides together: by its fold, else by the
// pages up of its grid.
func (s *standing) pages() int {
	if n := foldPages(s.code.Value); n > 0 {
		return n
	}
	return 2 * max(1, s.across) * max(1, s.up)
}

// foldPages is the pages that a code of the fold catalogue states, or 0.
func foldPages(code string) int {
	n := 0
	if _, err := fmt.Sscanf(code, "F%d-", &n); err != nil || n <= 0 || n > most {
		return 0
	}
	return n
}

// bindingOf is the binding that the operations of a ticket make, or "".
func bindingOf(j *job.Job) string {
	found := ""
	for _, op := range j.Operations {
		switch {
		case op.Type == "CoverApplication" || op.Type == "AdhesiveBinding":
			return softCover
		case op.Type == "Stitching" || op.Type == "SaddleStitching":
			found = "SaddleStitch"
		}
	}
	return found
}
