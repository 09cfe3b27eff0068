package ledger

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"iter"
	"os"
	"path/filepath"
	"slices"

	"quoin/cmd/quoin/internal/rulebook"
	"quoin/jdf"
	"quoin/jdf/message"
	"quoin/jdf/pack"
	"quoin/validate"
	"quoin/validate/packages"
)

// Files reads tickets, messages and packages of them, for an import. A ticket
// that comes back with a message is read with it: out of the same package, or
// out of the folder of the message. Nothing else is looked for, and nothing is
// fetched.
type Files struct {
	Paths  []string  // "-" is Stdin
	Stdin  io.Reader // of "-"
	Limits jdf.Limits

	// Report takes the findings on documents that are not whole, and are left
	// out, since half a message would be half a count; and on parts of packages
	// that can not be taken. It must not be nil.
	Report func(validate.Finding)
}

// Rules lists what reading files and purchases can find, beside the rules of package cost.
func Rules() []*validate.Rule { return rulebook.Ledger() }

// All reads the documents one at a time, in the order of the paths. The error is
// that of a file that can not be read, or of the context; it ends the sequence.
func (f *Files) All(ctx context.Context) iter.Seq2[Document, error] {
	return func(yield func(Document, error) bool) {
		r := &filesReader{Files: f, ctx: ctx, yield: yield, known: map[string]bool{}}
		for _, path := range f.Paths {
			r.known[filepath.Clean(path)] = true
		}
		for _, path := range f.Paths {
			err := r.file(path)
			if errors.Is(err, errStopped) {
				return
			}
			if err != nil {
				yield(Document{}, err)
				return
			}
		}
	}
}

type filesReader struct {
	*Files
	ctx   context.Context
	yield func(Document, error) bool
	known map[string]bool // files that are read anyway
}

func (r *filesReader) file(path string) error {
	if err := r.ctx.Err(); err != nil {
		return err
	}
	if path == "-" {
		_, err := r.document("<stdin>", r.Stdin)
		return err
	}
	file, err := os.Open(path)
	if err != nil {
		return fmt.Errorf("read ticket: %w", err)
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return fmt.Errorf("read ticket: %w", err)
	}
	head := make([]byte, pack.SniffLength)
	n, err := io.ReadFull(file, head)
	if err != nil && err != io.EOF && err != io.ErrUnexpectedEOF {
		return fmt.Errorf("read ticket %q: %w", path, err)
	}
	if packages.IsPackage(head[:n]) {
		return r.pack(path, file, info.Size())
	}
	doc, err := r.document(path, io.MultiReader(bytes.NewReader(head[:n]), file))
	if err != nil || doc == nil {
		return err
	}
	return r.beside(path, doc)
}

// document reads one and hands it on; it is nil where it was not whole.
func (r *filesReader) document(name string, from io.Reader) (*jdf.Document, error) {
	doc, faults, err := jdf.Read(name, from, r.Limits)
	if err != nil {
		return nil, err
	}
	for _, fault := range faults {
		r.Report(validate.OfFault(fault))
	}
	if len(faults) > 0 {
		return nil, nil
	}
	if !r.yield(Document{Document: doc}, nil) {
		return nil, errStopped
	}
	return doc, nil
}

// returned lists where the tickets are that come back with the messages of a document.
func returned(doc *jdf.Document) []*message.Return {
	if !doc.Kind.Message() {
		return nil
	}
	var all []*message.Return
	for _, m := range message.Decode(doc).Messages {
		if m.Params.Return != nil && m.Params.Return.URL.Given {
			all = append(all, m.Params.Return)
		}
	}
	return all
}

func (r *filesReader) away(back *message.Return) {
	r.Report(rulebook.TicketAway.At(back.URL.Place, validate.F("url", back.URL.Value)))
}

// beside reads the tickets that come back with a message that is a file of its
// own, as far as they are in its folder or below.
func (r *filesReader) beside(path string, doc *jdf.Document) error {
	all := returned(doc)
	if all == nil {
		return nil
	}
	root, err := os.OpenRoot(filepath.Dir(path))
	if err != nil {
		return fmt.Errorf("read folder of message: %w", err)
	}
	defer root.Close()
	for _, back := range all {
		target, err := pack.Locate("", back.URL.Value)
		if err != nil || target.Reach != pack.Inside {
			r.away(back)
			continue
		}
		name := filepath.Join(filepath.Dir(path), filepath.FromSlash(target.Path))
		if r.known[name] {
			continue
		}
		info, err := root.Stat(filepath.FromSlash(target.Path))
		if err != nil || !info.Mode().IsRegular() {
			r.away(back)
			continue
		}
		file, err := root.Open(filepath.FromSlash(target.Path))
		if err != nil {
			r.away(back)
			continue
		}
		r.known[name] = true
		_, err = r.document(name, file)
		if err = errors.Join(err, file.Close()); err != nil {
			return err
		}
	}
	return nil
}

// pack reads the tickets and messages of a package.
func (r *filesReader) pack(path string, file io.ReaderAt, size int64) error {
	p, problems, err := pack.Open(path, file, size, pack.Limits{})
	if err != nil {
		return err
	}
	damaged, err := p.Verify(r.ctx)
	if err != nil {
		return err
	}
	bad := map[*pack.Part]bool{}
	for _, problem := range append(problems, damaged...) {
		bad[problem.Part] = problem.Code != pack.Nested
		r.problem(path, problem)
	}
	for _, part := range p.Parts {
		if part.Refused() || bad[part] {
			continue
		}
		if err := r.part(p, part); err != nil {
			return err
		}
	}
	return nil
}

func (r *filesReader) problem(path string, problem pack.Problem) {
	name := path
	if problem.Part != nil {
		name += "!" + problem.Part.Label()
	}
	all := packages.Rules()
	i := slices.IndexFunc(all, func(rule *validate.Rule) bool {
		return rule.ID == validate.GroupPack+"/"+string(problem.Code)
	})
	if i >= 0 {
		r.Report(all[i].At(jdf.PlaceAt(jdf.NewSource(name, ""), 0, 0, ""),
			validate.F("got", problem.Got), validate.F("want", problem.Want)))
	}
}

// part reads a part that holds a ticket or message.
func (r *filesReader) part(p *pack.Package, part *pack.Part) error {
	from, err := part.Open()
	if err != nil {
		return err
	}
	defer from.Close()
	head := make([]byte, pack.SniffLength)
	n, err := io.ReadFull(from, head)
	if err != nil && err != io.EOF && err != io.ErrUnexpectedEOF {
		return fmt.Errorf("read part %q of %q: %w", part.Label(), p.Name, err)
	}
	if !holdsTicket(head[:n]) {
		return nil
	}
	doc, err := r.document(p.Name+"!"+part.Label(), io.MultiReader(bytes.NewReader(head[:n]), from))
	if err != nil || doc == nil {
		return err
	}
	for _, back := range returned(doc) {
		if _, found := p.Find(part, back.URL.Value); !found {
			r.away(back)
		}
	}
	return nil
}

// holdsTicket tells by the first bytes whether a part is a ticket or message. In
// UTF-16 a zero byte stands beside each letter of the namespace.
func holdsTicket(head []byte) bool {
	letters := bytes.ReplaceAll(head, []byte{0}, nil)
	start := bytes.TrimLeft(letters, "\xef\xbb\xbf\xff\xfe \t\r\n")
	return bytes.HasPrefix(start, []byte("<")) && bytes.Contains(letters, []byte("www.CIP4.org/JDFSchema_"))
}
