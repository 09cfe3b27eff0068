package packages

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"syscall"
	"time"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/pack"
	"quoin/validate"
)

// Options say how far a check goes. The zero Options has the defaults.
type Options struct {
	Limits  pack.Limits
	Folders []string      // where URLs of a plain ticket may lead, beside its own folder
	PDF     PDFReader     // without it a check ends with ErrNoReader where there is a PDF to look into
	MaxPDF  int64         // bytes of a PDF that is looked into; default 256 MiB
	PDFTime time.Duration // time for one PDF; default 30 s
}

func (o Options) orDefault() Options {
	if o.MaxPDF <= 0 {
		o.MaxPDF = 256 << 20
	}
	if o.PDFTime <= 0 {
		o.PDFTime = 30 * time.Second
	}
	return o
}

// IsPackage tells by the first bytes, of which pack.SniffLength suffice,
// whether a file is a package.
func IsPackage(head []byte) bool { return pack.Sniff(head) != pack.None }

// Check checks a package, or a plain ticket with the files beside it. The
// findings of the engine are in the report with those of this package; its
// filter and its limit hold for both. The error says that the file could not
// be read at all or that a stage could not be run.
func Check(ctx context.Context, engine *validate.Engine, path string, opt Options) (*validate.Report, error) {
	// A named pipe that nobody writes to must not hold up the rest.
	f, err := os.OpenFile(path, os.O_RDONLY|syscall.O_NONBLOCK, 0)
	if err != nil {
		return nil, fmt.Errorf("open ticket: %w", err)
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, fmt.Errorf("open ticket: %w", err)
	}
	if !info.Mode().IsRegular() {
		return nil, fmt.Errorf("open ticket: %q is not a regular file", path)
	}
	const least = 512 // where a system does not tell the size of a file before it is read
	head := make([]byte, min(max(info.Size(), least), pack.SniffLength))
	n, err := io.ReadFull(f, head)
	if err != nil && err != io.EOF && err != io.ErrUnexpectedEOF {
		return nil, fmt.Errorf("read ticket %q: %w", path, err)
	}
	c := newCheck(ctx, engine, path, opt)
	if IsPackage(head[:n]) {
		err = c.pack(f, info.Size())
	} else {
		err = c.plain(f, head[:n], info.Size())
	}
	if err != nil && c.report.Files == 0 {
		return nil, err
	}
	return c.finish(), err
}

// check is one run over one file.
type check struct {
	ctx    context.Context
	engine *validate.Engine
	name   string
	opt    Options
	store  store

	report  *validate.Report // of the engine
	own     *validate.Report // of this package
	tickets []*ticket
	pdfs    map[string]*pdfResult // by key of the asset
}

// ticket is a document of the package that could be read whole.
type ticket struct {
	part *pack.Part // nil for a plain file
	doc  *jdf.Document
	job  *job.Job
	refs *references
}

func newCheck(ctx context.Context, engine *validate.Engine, name string, opt Options) *check {
	return &check{
		ctx: ctx, engine: engine, name: name, opt: opt.orDefault(),
		report: validate.NewReport(0), own: validate.NewReport(engine.Most), pdfs: map[string]*pdfResult{},
	}
}

func (c *check) add(f validate.Finding) {
	if c.engine.Filter.Keeps(f.Rule.ID) {
		c.own.Add(f)
	}
}

func (c *check) finish() *validate.Report {
	c.report.Merge(c.own)
	c.report.Finish()
	return c.report
}

// run checks one document and keeps it for the rules of this package. A
// document with faults of XML is not kept: what is missing in it may be what
// the others refer to.
func (c *check) run(part *pack.Part, check func(*validate.Engine) (*validate.Report, error)) (whole bool, err error) {
	engine := *c.engine
	engine.Stages = append(slices.Clip(engine.Stages), validate.Stage{
		Name: "packages", Check: func(s *validate.Subject, _ func(validate.Finding)) error {
			c.tickets = append(c.tickets, &ticket{part: part, doc: s.Doc, job: s.Job, refs: collect(s.Doc)})
			whole = true
			return nil
		},
	})
	report, err := check(&engine)
	if report != nil {
		c.report.Merge(report)
	}
	return whole, err
}

// plain checks a ticket that came by itself; head is what was read of it. The
// folders are opened only for a ticket that refers to something.
func (c *check) plain(f *os.File, head []byte, size int64) error {
	var text io.Reader = bytes.NewReader(head)
	if int64(len(head)) != size {
		text = &rest{io.MultiReader(text, f), int(min(size, math.MaxInt32))}
	}
	_, err := c.run(nil, func(e *validate.Engine) (*validate.Report, error) { return e.Stream(c.name, text) })
	if err != nil {
		return err
	}
	if !slices.ContainsFunc(c.tickets, func(t *ticket) bool { return len(t.refs.list) > 0 }) {
		return c.references()
	}
	roots, err := openFolders(append([]string{filepath.Dir(c.name)}, c.opt.Folders...))
	if err != nil {
		return err
	}
	defer roots.Close()
	c.store = roots
	return c.references()
}

// rest is a file that tells how much it holds, so that it is read at one go.
type rest struct {
	io.Reader
	size int
}

// Len is the size in bytes.
func (r *rest) Len() int { return r.size }

// pack checks a package.
func (c *check) pack(f io.ReaderAt, size int64) error {
	p, problems, err := pack.Open(c.name, f, size, c.opt.Limits)
	if err != nil {
		return err
	}
	damaged, err := p.Verify(c.ctx)
	if err != nil {
		return err
	}
	bad := map[*pack.Part]bool{}
	for _, problem := range append(problems, damaged...) {
		c.add(ofProblem(c.name, problem))
		bad[problem.Part] = problem.Code != pack.Nested
	}
	c.store = &parts{p, bad}
	contents := &contents{pkg: p, kinds: map[*pack.Part]contentKind{}, whole: true}
	for _, part := range p.Parts {
		if part.Refused() || bad[part] {
			contents.whole = false
			continue
		}
		if err := c.part(contents, part); err != nil {
			return err
		}
	}
	if len(p.Parts) > 0 {
		c.together(contents)
	}
	if c.report.Files == 0 {
		c.report.Files = 1
	}
	return c.references()
}

// part looks at one part, and checks it when it is a ticket or message.
func (c *check) part(all *contents, part *pack.Part) error {
	if err := c.ctx.Err(); err != nil {
		return err
	}
	head, err := headOf(part.Open)
	if err != nil {
		return err
	}
	kind := kindOf(head)
	all.kinds[part] = kind
	if kind != kindTicket {
		return nil
	}
	r, err := part.Open()
	if err != nil {
		return err
	}
	defer r.Close()
	whole, err := c.run(part, func(e *validate.Engine) (*validate.Report, error) {
		return e.Stream(c.name+"!"+part.Label(), r)
	})
	all.whole = all.whole && whole
	return err
}

// headOf reads the first bytes of something.
func headOf(open func() (io.ReadCloser, error)) ([]byte, error) {
	r, err := open()
	if err != nil {
		return nil, err
	}
	defer r.Close()
	head := make([]byte, pack.SniffLength)
	n, err := io.ReadFull(r, head)
	if err != nil && err != io.EOF && err != io.ErrUnexpectedEOF {
		return nil, err
	}
	return head[:n], nil
}

// at is the place of a part, or of the package when there is none.
func at(name string, part *pack.Part) jdf.Place {
	if part != nil {
		name += "!" + part.Label()
	}
	return jdf.PlaceAt(jdf.NewSource(name, ""), 0, 0, "")
}
