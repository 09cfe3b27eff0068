package convert

import (
	"fmt"
	"iter"
	"strings"
	"time"

	"quoin/jdf"
	"quoin/schemas"
	"quoin/validate"
)

// Split says which part of a JDF tree becomes one XJDF.
type Split string

// The ways to split.
const (
	Process Split = "process" // each process node, and the product description
	GrayBox Split = "graybox" // each group of processes, and the product description
	Product Split = "product" // the product description alone
)

// Options say how to convert. The zero Options write the last version of the
// target generation and split by process.
type Options struct {
	Version jdf.Version      // to write; default: the last of the target generation
	Split   Split            // of a JDF tree; default Process
	Clock   func() time.Time // for what needs a time that the source does not have; default time.Now
	Limit   int              // tickets written at most; default 10,000

	// Keep keeps what has no counterpart as private attributes and elements, in
	// the namespace of its own generation, so that the way back finds it.
	Keep bool
}

// Output is one converted document.
type Output struct {
	Name string // a file name made of the job's ids, with extension
	Kind jdf.Kind

	root     *elem
	prefixes *prefixes
}

// Result is what a conversion gives.
type Result struct {
	Outputs []Output

	led *ledger
}

// All walks every element, attribute, text and remark of the sources with what
// became of it.
func (r *Result) All() iter.Seq[Item] { return r.led.items(true) }

// Losses walks what was changed or lost, in the order of the sources.
func (r *Result) Losses() iter.Seq[Item] { return r.led.items(false) }

// Findings walks the losses as findings of the group convert.
func (r *Result) Findings() iter.Seq[validate.Finding] {
	return func(yield func(validate.Finding) bool) {
		for i := range r.Losses() {
			if !yield(i.Finding()) {
				return
			}
		}
	}
}

// To converts documents of one kind into documents of another: tickets into
// tickets, messages into messages, of the other generation or of another
// version of the same. The documents must have been read without faults.
// Several XJDF of one job become one JDF; otherwise each document stands alone.
//
// The error says that such a conversion can not be had: kinds that do not go
// together, or a version that the target does not have.
func To(docs []*jdf.Document, target jdf.Kind, opt Options) (*Result, error) {
	if err := check(docs, target, &opt); err != nil {
		return nil, err
	}
	led := newLedger(docs)
	r := &Result{led: led}
	var err error
	source := docs[0].Kind
	switch {
	case source.First() == target.First() && source.Second() == target.Second():
		err = r.version(docs, target, opt)
	case source == jdf.KindJDF:
		err = r.eachUp(docs, opt)
	case source == jdf.KindXJDF:
		err = r.down(docs, opt)
	case source == jdf.KindJMF:
		err = r.messages(docs, true, opt)
	default:
		err = r.messages(docs, false, opt)
	}
	if err != nil {
		return nil, err
	}
	return r, nil
}

func check(docs []*jdf.Document, target jdf.Kind, opt *Options) error {
	if len(docs) == 0 {
		return fmt.Errorf("convert to %s: there is no document; give at least one ticket or message", target)
	}
	if target == jdf.KindUnknown {
		return fmt.Errorf("convert to an unknown kind; want JDF, JMF, XJDF or XJMF")
	}
	for _, d := range docs {
		switch {
		case d.Kind == jdf.KindUnknown:
			return fmt.Errorf("convert %s: it is no ticket and no message; want a root JDF, JMF, XJDF or XJMF", d.Source.Name)
		case d.Kind.Message() != target.Message():
			return fmt.Errorf("convert %s: %s can not become %s; tickets become tickets, messages become messages",
				d.Source.Name, d.Kind, target)
		case d.Kind != docs[0].Kind:
			return fmt.Errorf("convert %s: it is %s, but %s is %s; convert them apart",
				d.Source.Name, d.Kind, docs[0].Source.Name, docs[0].Kind)
		}
	}
	return options(target, opt)
}

func options(target jdf.Kind, opt *Options) error {
	if opt.Clock == nil {
		opt.Clock = time.Now
	}
	if opt.Limit == 0 {
		opt.Limit = 10_000
	}
	switch opt.Split {
	case "":
		opt.Split = Process
	case Process, GrayBox, Product:
	default:
		return fmt.Errorf("split by %q is unknown; want process, graybox or product", opt.Split)
	}
	if opt.Version.IsZero() {
		opt.Version = jdf.LastXJDF
		if target.First() {
			opt.Version = jdf.LastJDF
		}
	}
	if !target.Known(opt.Version) {
		return fmt.Errorf("%s has no version %s; want one from %s", target, opt.Version, versionsOf(target))
	}
	return nil
}

func versionsOf(target jdf.Kind) string {
	if target.First() {
		return jdf.FirstJDF.String() + " to " + jdf.LastJDF.String()
	}
	return jdf.FirstXJDF.String() + " to " + jdf.LastXJDF.String()
}

// setOf is the dictionary of a generation.
func setOf(firstGeneration bool) *schemas.Set {
	if firstGeneration {
		return schemas.JDF()
	}
	return schemas.XJDF()
}

// looksAlike reports whether somebody may have meant the standard by a
// namespace that is not the standard's.
func looksAlike(space string) bool {
	lower := strings.ToLower(space)
	return foreign(space) && (strings.Contains(lower, "jdfschema") || strings.Contains(lower, "cip4.org/jdf"))
}

// finish fits a tree; it returns false when nothing of it can stand.
func (c *conv) finish(root *elem, p *prefixes) bool {
	f := &fitter{conv: c, ids: map[string]bool{}, gone: map[string]bool{}}
	t := c.to.Element(root.local).Type()
	hoisted, why := f.fit(root, t, false)
	// What was taken out may have been referred to; what referred to it may have
	// been needed.
	for gone := f.dangling(root); len(gone) > 0 && why == ""; gone = f.dangling(root) {
		f.ids, f.refs, f.gone = map[string]bool{}, nil, gone
		var more []*elem
		more, why = f.fit(root, t, false)
		hoisted = append(hoisted, more...)
	}
	for _, h := range hoisted {
		if root.local != "XJDF" || looksAlike(h.space) {
			f.remove(h, c.say("private elements are not allowed in ", root.local))
			continue
		}
		for _, at := range h.slots {
			c.led.change(at, "a private element stands in a set of its own there")
		}
		set := root.add("ResourceSet").set("Name", p.of[h.space]+":"+h.local)
		res := set.add("Resource")
		res.kids = append(res.kids, h)
	}
	if why != "" {
		f.remove(root, why)
		return false
	}
	return true
}
