package desk

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"path"
	"strings"
	"time"

	"github.com/beevik/etree"

	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/works"
	"quoin/convert/emit"
	"quoin/convert/plan"
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate/plant"
)

// Emit writes the tickets of the steps of a plan, one each: in XJDF, or for machines
// that take JDF as the tree of the plan with the one node that is theirs to do.
func (d *Desk) Emit(
	ctx context.Context, k *works.Ticket, body, planned []byte, steps []*works.Step,
) (map[int]works.DeviceTicket, error) {
	item, err := Ticket(NameOf(k), k.Media, body)
	if err != nil {
		return nil, works.Permanent(err)
	}
	pl := &plan.Plan{}
	if err := json.Unmarshal(planned, pl); err != nil {
		return nil, works.Permanent(fmt.Errorf("read the plan of ticket %d: %w", k.ID, err))
	}
	opt := emit.Options{Times: map[int]emit.Span{}, Clock: func() time.Time { return k.Changed },
		AgentVersion: d.opt.AgentVersion}
	for _, p := range steps {
		if !p.Start.IsZero() {
			opt.Times[p.Number] = emit.Span{Start: p.Start, End: p.End}
		}
	}
	j := job.Decode(item.Document)
	written := &emitted{all: emit.Tickets(pl, j, opt), docs: []*jdf.Document{item.Document}}
	opt.As = emit.JDF
	tree := emit.Tickets(pl, j, opt)[0]
	tickets := map[int]works.DeviceTicket{}
	for _, p := range steps {
		t := works.DeviceTicket{}
		if d.dialect(p.Device) == plant.JMF {
			t, err = written.write(only(tree, p.Part), compose.MediaType(jdf.KindJDF))
		} else if p.Number < len(written.all) {
			t, err = written.write(written.all[p.Number], compose.MediaType(jdf.KindXJDF))
		}
		if err != nil {
			return nil, err
		}
		tickets[p.Number] = t
	}
	if d.opt.Emitted != nil {
		if err := d.opt.Emitted(ctx, written.docs); err != nil {
			return nil, err
		}
	}
	return tickets, nil
}

// emitted is the tickets that were written of a plan.
type emitted struct {
	all  []emit.Ticket // in XJDF, by operation
	docs []*jdf.Document
}

// write turns a ticket into bytes, and remembers it as a document.
func (e *emitted) write(t emit.Ticket, media string) (works.DeviceTicket, error) {
	body, err := t.Doc.WriteToBytes()
	if err != nil {
		return works.DeviceTicket{}, fmt.Errorf("write ticket %q: %w", t.Name, err)
	}
	doc, _, err := jdf.Read(t.Name, bytes.NewReader(body), jdf.Limits{})
	if err != nil {
		return works.DeviceTicket{}, fmt.Errorf("read ticket %q: %w", t.Name, err)
	}
	e.docs = append(e.docs, doc)
	return works.DeviceTicket{Name: t.Name, Media: media, Body: body}, nil
}

// only is the tree of a plan with one of its nodes, under a name of its own. A device
// does all nodes of a ticket that name it.
func only(tree emit.Ticket, part string) emit.Ticket {
	doc := tree.Doc.Copy()
	prune(doc.Root(), part)
	ext := path.Ext(tree.Name)
	return emit.Ticket{Name: strings.TrimSuffix(tree.Name, ext) + "-" + part + ext, Doc: doc}
}

// prune takes out the nodes below e that are another part's, and reports whether e is
// the node of the part or holds it.
func prune(e *etree.Element, part string) bool {
	own := e.SelectAttrValue("JobPartID", "") == part
	for _, c := range e.ChildElements() {
		if c.Tag != "JDF" {
			continue
		}
		if prune(c, part) {
			own = true
		} else {
			e.RemoveChild(c)
		}
	}
	return own
}

// dialect is what a machine takes; XJMF for those that the service does not reach.
func (d *Desk) dialect(device string) plant.Dialect {
	for _, m := range d.opt.Plant.Machines() {
		if m.ID == device && m.Connection.Dialect != "" {
			return m.Connection.Dialect
		}
	}
	return plant.XJMF
}
