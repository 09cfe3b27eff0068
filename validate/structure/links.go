package structure

import (
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/schemas"
	"quoin/validate"
)

// pool is the links that the processes of a node may have.
type pool struct {
	process string
	names   map[string]bool
}

// maxPools bounds how many lists of processes are kept while a document is checked.
const maxPools = 1000

// poolOf gathers the links of the processes that Types lists, for a node whose
// own type leaves them open. It is nil when the schema leaves all open.
func (c *checker) poolOf(n jdf.Node, of *schemas.Type) *pool {
	list := n.Get("Types")
	if list == "" || of.Name() != "Combined" && of.Name() != "ProcessGroup" {
		return nil
	}
	if p, ok := c.pools[list]; ok {
		return p
	}
	p := &pool{process: strings.Join(strings.Fields(list), ", "), names: map[string]bool{}}
	for process := range strings.FieldsSeq(list) {
		t := c.set.Type(process)
		if t == nil || t.Anonymous() || !c.derives(t, namedNodeType) {
			p = nil // a private process may link anything
			break
		}
		_, child := t.Model().Child(linkPoolName)
		if child == nil || child.Type().Name() == generalPoolType {
			p = nil
			break
		}
		for _, name := range child.Type().Model().Names() {
			if c.isLink(name) {
				p.names[name] = true
			}
		}
		for _, l := range t.Links() { // the notes of some processes ask for links that their content model lacks
			if l.Name != "*" {
				p.names[l.Name] = true
			}
		}
	}
	if len(c.pools) >= maxPools || c.pools == nil {
		c.pools = map[string]*pool{}
	}
	c.pools[list] = p
	return p
}

// link holds a link against the processes of its node.
func (c *checker) link(n jdf.Node, s scope) {
	if s.links != nil && !s.links.names[n.Local()] {
		f := foreignLink.At(n.NamePlace(), fact("link", n.Local()), fact("process", s.links.process),
			fact("links", choicesOf(s.links.names)))
		f.Severity = validate.Warning // the schema takes any link there
		c.report(f)
	}
	if s.version == 0 {
		return
	}
	span, out := s.process.LinkSpan(s.version, n.Local(), n.Get("Usage"), n.Get("ProcessUsage"))
	if out && doubtfulLinks[n.Local()] == "" {
		c.reportSpan(n.NamePlace(), n.Local()+" of "+s.process.Name(), span, s.version)
	}
}

// noted tells whether the notes on a process name a link.
func noted(process *schemas.Type, n jdf.Node) bool {
	return slices.ContainsFunc(process.Links(), func(l schemas.Link) bool {
		return l.Name == n.Local() && (l.Usage == "any" || strings.EqualFold(l.Usage, n.Get("Usage")))
	})
}
