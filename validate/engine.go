package validate

import (
	"context"
	"errors"
	"fmt"
	"io"

	"quoin/jdf"
	"quoin/jdf/job"
)

// Subject is a document under check, with the Job that it decodes to. For a
// message the Job is empty.
type Subject struct {
	Doc *jdf.Document
	Job *job.Job
}

// Stage is one part of the check. Check must be safe for concurrent use on
// different subjects; its error says that the stage could not be run, never
// that the ticket is wrong.
type Stage struct {
	Name  string
	Rules []*Rule

	// Plain says that Check asks for Subject.Doc alone. Where the first stage of
	// an engine is plain, it is run beside the others on a large document, and
	// Subject.Job is then not set for it.
	Plain bool
	Check func(s *Subject, report func(Finding)) error
}

// Engine reads documents and runs stages over them. It is immutable, and safe
// for concurrent use.
type Engine struct {
	Stages []Stage
	Limits jdf.Limits
	Filter Filter
	Most   int // findings kept a file; 0 keeps all

	// Judge, when set, makes for each document the function that may reweigh
	// or silence its findings, by the rules of the house.
	Judge func(doc *jdf.Document) func(Finding) Finding
}

// File checks one file. The error says that the file could not be read at all
// or that a stage could not be run.
func (e *Engine) File(path string) (*Report, error) {
	doc, faults, err := jdf.ReadFile(path, e.Limits)
	if err != nil {
		return nil, err
	}
	return e.document(doc, faults)
}

// Stream checks what a reader gives; the name is shown as the file.
func (e *Engine) Stream(name string, r io.Reader) (*Report, error) {
	doc, faults, err := jdf.Read(name, r, e.Limits)
	if err != nil {
		return nil, err
	}
	return e.document(doc, faults)
}

// Document checks a document that was read without faults.
func (e *Engine) Document(doc *jdf.Document) (*Report, error) { return e.document(doc, nil) }

func (e *Engine) document(doc *jdf.Document, faults []jdf.Fault) (*Report, error) {
	report := NewReport(e.Most)
	report.Files = 1
	judge := func(f Finding) Finding { return f }
	if e.Judge != nil {
		judge = e.Judge(doc)
	}
	take := func(f Finding) {
		if e.Filter.Keeps(f.Rule.ID) {
			report.Add(judge(f))
		}
	}
	for _, f := range faults {
		take(OfFault(f))
	}
	// After a fault of reading the rest of the tree may be missing, and what
	// the other stages said of it would mislead.
	if len(faults) > 0 {
		report.Finish()
		return report, nil
	}
	failed := e.run(doc, take)
	report.Finish()
	return report, failed
}

// large is the size in bytes from which a second core is worth its start.
const large = 1 << 20

// run runs the stages; their findings are taken in the order of the stages.
func (e *Engine) run(doc *jdf.Document, take func(Finding)) error {
	if len(doc.Source.Text) < large || len(e.Stages) < 2 || !e.Stages[0].Plain {
		return stages(e.Stages, &Subject{Doc: doc, Job: job.Decode(doc)}, take)
	}
	first := make(chan error, 1)
	go func() { first <- stages(e.Stages[:1], &Subject{Doc: doc}, take) }()
	var later []Finding
	subject := &Subject{Doc: doc, Job: job.Decode(doc)}
	failed := stages(e.Stages[1:], subject, func(f Finding) { later = append(later, f) })
	failed = errors.Join(<-first, failed)
	for _, f := range later {
		take(f)
	}
	return failed
}

func stages(all []Stage, subject *Subject, take func(Finding)) (failed error) {
	for _, stage := range all {
		if err := stage.Check(subject, take); err != nil {
			failed = errors.Join(failed, fmt.Errorf("run stage %s on %q: %w", stage.Name, subject.Doc.Source.Name, err))
		}
	}
	return failed
}

// Files checks many files on all cores, as Gather does.
func (e *Engine) Files(ctx context.Context, paths []string) (*Report, error) {
	return Gather(ctx, paths, e.File, func(int) {})
}

// Rules lists the rules of XML and of all stages, in the order they are run.
func (e *Engine) Rules() []*Rule {
	all := append([]*Rule(nil), xmlRules...)
	for _, s := range e.Stages {
		all = append(all, s.Rules...)
	}
	return all
}
