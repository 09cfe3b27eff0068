package dialog

import (
	"bytes"
	"errors"
	"fmt"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/message"
	"quoin/jdf/pack"
	"quoin/validate"
)

// ticket finds the ticket that a message names, reads it, and refuses one that
// is of the other generation.
func (x *exchange) ticket(c call, url job.Fact[string]) (Ticket, error) {
	if url.Value == "" {
		return Ticket{}, Refuse(message.InsufficientParams, "URL is missing; say where the ticket is")
	}
	t, err := x.locate(c, url.Value)
	if err != nil {
		return t, err
	}
	t.URL = url.Value
	if t.Document == nil {
		doc, faults, err := jdf.Read(t.Name, bytes.NewReader(t.Data), x.XML)
		if err != nil {
			return t, fmt.Errorf("read ticket %q: %w", t.Name, err)
		}
		if len(faults) > 0 {
			var findings []validate.Finding
			for _, f := range faults {
				findings = append(findings, validate.OfFault(f))
			}
			comments := append([]string{fmt.Sprintf("the ticket %q is not readable", t.Name)}, told(findings)...)
			return t, &Refusal{message.ParserError, comments}
		}
		t.Document = doc
	}
	want := jdf.KindJDF
	if x.envelope.Document.Kind.Second() {
		want = jdf.KindXJDF
	}
	if t.Document.Kind != want {
		return t, Refuse(message.InvalidParameters, "URL %q leads to a document of root %q; want a ticket of root %s, the "+
			"generation of the message", url.Value, t.Document.Root().Local(), want)
	}
	return t, nil
}

// locate finds the bytes of a ticket without leaving the message, or asks Works.
func (x *exchange) locate(c call, url string) (Ticket, error) {
	target, err := pack.Locate("", url)
	if err != nil {
		var wrong *pack.ReferenceError
		if errors.As(err, &wrong) {
			return Ticket{}, Refuse(message.InvalidParameters, "URL is %q: %v", url, err)
		}
		return Ticket{}, fmt.Errorf("take URL %q apart: %w", url, err)
	}
	if target.Reach != pack.Inside && target.Reach != pack.ByID {
		return x.Works.Fetch(c.ctx, c.from, url)
	}
	if x.pack == nil {
		return Ticket{}, Refuse(message.URLNotAccessible, "URL is %q, and the message came without a package; send both in "+
			"one, MIME for JMF or ZIP for XJMF", url)
	}
	part, ok := x.pack.Find(x.root, url)
	switch {
	case !ok:
		return Ticket{}, Refuse(message.URLNotAccessible, "URL is %q, and the package holds nothing of that name; it "+
			"holds %s", url, validate.Choices(labels(x.pack)))
	case part == x.root:
		return Ticket{}, Refuse(message.InvalidParameters, "URL %q leads to the message itself; name the ticket", url)
	case part.Refused():
		return Ticket{}, Refuse(message.URLNotAccessible, "the part %q of the package is not taken; see that its name, size "+
			"and packing are safe", part.Label())
	}
	data, err := content(part)
	if err != nil {
		return Ticket{}, Refuse(message.ParserError, "the part %q of the package can not be read: %v", part.Label(), err)
	}
	return Ticket{Name: part.Label(), Data: data, Package: x.pack, Part: part}, nil
}

func labels(p *pack.Package) []string {
	var all []string
	for _, part := range p.Parts {
		all = append(all, fmt.Sprintf("%q", part.Label()))
	}
	return all
}
