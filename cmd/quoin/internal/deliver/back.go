package deliver

import (
	"cmp"
	"fmt"
	"maps"
	"path"
	"slices"
	"strings"

	"github.com/beevik/etree"

	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/desk"
	"quoin/cmd/quoin/internal/works"
	"quoin/cmd/quoin/internal/works/flow"
	"quoin/convert"
	"quoin/jdf"
)

// Return gives a ticket back to its sender: as it was submitted, with what the
// devices have said in their tickets in its audit pool, and with its status. It goes
// with a ReturnQueueEntry to where messages were asked for, else bare.
func (c *Composer) Return(
	id string, k *works.Ticket, body []byte, _ []*works.Step, returned map[int][]byte,
) (flow.Wire, []byte, error) {
	item, err := desk.Ticket(desk.NameOf(k), k.Media, body)
	if err != nil {
		return flow.Wire{}, nil, works.Permanent(err)
	}
	whole, err := filled(item, k, returned)
	if err != nil {
		return flow.Wire{}, nil, err
	}
	media := compose.MediaType(item.Document.Kind)
	name := cleanName(cmp.Or(path.Base(item.Name), "ticket"))
	switch {
	case k.ReturnJMF != "":
		e := c.envelope(id, "", Version(k.Dialect), k.Changed)
		file := compose.Attachment{ID: "ticket", Name: name, Type: media, Data: whole}
		r := compose.Return{Entry: k.EntryID, URL: e.URL(file)}
		node := cmp.Or(item.Document.Root().Get("ID"), item.Document.Root().Get("JobID"))
		if k.Outcome == works.Aborted {
			r.Aborted = []string{node}
		} else {
			r.Completed = []string{node}
		}
		e.Return(r)
		wire, err := pack(Return, k.ReturnJMF, e, file)
		return wire, whole, err
	case k.ReturnURL != "":
		return flow.Wire{Kind: Return, Address: k.ReturnURL, Media: media, Name: name, Body: whole}, whole, nil
	}
	return flow.Wire{}, whole, nil
}

// filled is the ticket with its status and the audits of the devices, in the order of
// the steps.
func filled(item desk.Item, k *works.Ticket, returned map[int][]byte) ([]byte, error) {
	doc := etree.NewDocument()
	if err := doc.ReadFromBytes([]byte(item.Document.Source.Text)); err != nil {
		return nil, works.Permanent(fmt.Errorf("read ticket %q: %w", item.Name, err))
	}
	root := doc.Root()
	if item.Document.Kind == jdf.KindJDF && root.SelectAttr("Status") != nil {
		status := "Completed"
		if k.Outcome == works.Aborted {
			status = "Aborted"
		}
		root.CreateAttr("Status", status)
	}
	var audits []*etree.Element
	for _, number := range slices.Sorted(maps.Keys(returned)) {
		audits = append(audits, auditsOf(returned[number], item.Document.Kind)...)
	}
	if len(audits) > 0 {
		pool := poolOf(root)
		for _, a := range audits {
			pool.AddChild(a)
		}
	}
	for _, child := range slices.Clone(doc.Child) { // the text is UTF-8 now, whatever it was
		if p, ok := child.(*etree.ProcInst); ok && p.Target == "xml" {
			p.Inst = `version="1.0" encoding="UTF-8"`
		}
	}
	text, err := doc.WriteToBytes()
	if err != nil {
		return nil, fmt.Errorf("write ticket %q: %w", item.Name, err)
	}
	return text, nil
}

// poolOf is the audit pool of a ticket, made where it has none. In both generations
// it may stand first.
func poolOf(root *etree.Element) *etree.Element {
	for _, c := range root.ChildElements() {
		if c.Tag == "AuditPool" {
			return c
		}
	}
	pool := etree.NewElement("AuditPool")
	pool.Space = root.Space
	root.InsertChildAt(0, pool)
	return pool
}

// auditsOf are the audits of a ticket that a device returned, in a generation; but not
// who created it. What can not be read stays out: it was stored as it came.
func auditsOf(message []byte, kind jdf.Kind) (all []*etree.Element) {
	items, err := desk.Items("returned", "", message)
	if err != nil {
		return nil
	}
	for _, item := range items {
		if item.Document.Kind.Message() {
			continue
		}
		texts := []string{item.Document.Source.Text}
		if item.Document.Kind != kind {
			texts = converted(item.Document, kind)
		}
		for _, text := range texts {
			doc := etree.NewDocument()
			if doc.ReadFromString(text) != nil {
				continue
			}
			for _, pool := range doc.FindElements("//AuditPool") {
				for _, a := range pool.ChildElements() {
					if !strings.HasSuffix(a.Tag, "Created") {
						all = append(all, a.Copy())
					}
				}
			}
		}
	}
	return all
}

// converted is a ticket in the other generation; nothing where that can not be done.
func converted(doc *jdf.Document, kind jdf.Kind) (texts []string) {
	r, err := convert.To([]*jdf.Document{doc}, kind, convert.Options{})
	if err != nil {
		return nil
	}
	for _, out := range r.Outputs {
		var text strings.Builder
		if _, err := out.WriteTo(&text); err != nil { // into memory, which takes all
			return nil
		}
		texts = append(texts, text.String())
	}
	return texts
}
