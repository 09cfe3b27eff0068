package structure

import (
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
			p.names[name] = true
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
	for _, l := range s.process.Links() {
		if !l.Span.Open() && c.outside(l.Span, s.version) && speaksOf(l, n) && doubtfulLinks[l.Name] == "" {
			c.reportSpan(n.NamePlace(), n.Local()+" of "+s.process.Name(), l.Span, s.version)
			return
		}
	}
}

// speaksOf tells whether a note on links means a link.
func speaksOf(l schemas.Link, n jdf.Node) bool {
	return (l.Name == n.Local() || l.Name == "*") &&
		(l.Usage == "any" || strings.EqualFold(l.Usage, n.Get("Usage"))) &&
		(l.ProcessUsage == "" || l.ProcessUsage == n.Get("ProcessUsage"))
}
