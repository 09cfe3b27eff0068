package report

import (
	"fmt"

	"github.com/beevik/etree"

	"quoin/cmd/quoin/internal/rehearsal"
)

// Audit adds to a ticket, of either generation, what its machine did. The error
// says that the ticket has nothing for the machine.
func Audit(ticket *etree.Document, a *rehearsal.Act) error {
	root := ticket.Root()
	if root == nil {
		return fmt.Errorf("audit ticket of job %q: it is empty", a.Job)
	}
	if root.Tag == "XJDF" {
		auditSecond(root, a)
	} else {
		node := nodeOf(root, a.Part)
		if node == nil {
			return fmt.Errorf("audit ticket of job %q: it has no node of part %q", a.Job, a.Part)
		}
		auditFirst(node, a)
	}
	ticket.Indent(2)
	return nil
}

// nodeOf finds the node of a part.
func nodeOf(e *etree.Element, part string) *etree.Element {
	if e.SelectAttrValue("JobPartID", "") == part {
		return e
	}
	for _, c := range e.SelectElements("JDF") {
		if n := nodeOf(c, part); n != nil {
			return n
		}
	}
	return nil
}

// Spawn takes the node of a part out of a JDF tree, with the resources that it
// uses and those that they use: the ticket that goes to one machine. The error
// says that the tree has no such node.
func Spawn(tree *etree.Document, part string) (*etree.Document, error) {
	root := tree.Root()
	node := nodeOf(root, part)
	if node == nil {
		return nil, fmt.Errorf("spawn part %q: the tree has no such node", part)
	}
	out := etree.NewDocument()
	out.CreateProcInst("xml", `version="1.0" encoding="UTF-8"`)
	own := node.Copy()
	out.SetRoot(own)
	for _, name := range []string{"xmlns", "Version", "MaxVersion", "JobID"} {
		if v := root.SelectAttrValue(name, ""); v != "" && own.SelectAttrValue(name, "") == "" {
			own.CreateAttr(name, v)
		}
	}
	if xsi := root.SelectAttrValue("xmlns:xsi", ""); xsi != "" {
		own.CreateAttr("xmlns:xsi", xsi)
	}
	pool := own.SelectElement("ResourcePool")
	if pool == nil {
		pool = child(own, "ResourcePool")
		own.RemoveChild(pool)
		own.InsertChildAt(0, pool)
	}
	have := map[string]bool{}
	for _, r := range pool.ChildElements() {
		have[r.SelectAttrValue("ID", "")] = true
	}
	shared := root.SelectElement("ResourcePool")
	for moved := true; moved && shared != nil; {
		moved = false
		for id := range references(own) {
			if have[id] {
				continue
			}
			have[id] = true // one that is nowhere is not looked for again
			moved = true
		}
		for _, r := range shared.ChildElements() {
			id := r.SelectAttrValue("ID", "")
			if have[id] && !has(pool, id) {
				pool.AddChild(r.Copy())
			}
		}
	}
	out.Indent(2)
	return out, nil
}

func has(pool *etree.Element, id string) bool {
	for _, r := range pool.ChildElements() {
		if r.SelectAttrValue("ID", "") == id {
			return true
		}
	}
	return false
}

// references are the ids that an element and all below it refer to.
func references(e *etree.Element) map[string]bool {
	all := map[string]bool{}
	var walk func(*etree.Element)
	walk = func(e *etree.Element) {
		if ref := e.SelectAttrValue("rRef", ""); ref != "" {
			all[ref] = true
		}
		for _, c := range e.ChildElements() {
			walk(c)
		}
	}
	walk(e)
	return all
}
