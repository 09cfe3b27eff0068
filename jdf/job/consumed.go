package job

import "quoin/jdf"

// Identity says which of its kind a resource is. Reports often leave it out.
type Identity struct {
	Item Fact[string] // ProductID, or ExternalID of XJDF
	Name Fact[string] // Brand, or DescriptiveName
	Type Fact[string] // MediaType, ProductType or ComponentType
	Unit Fact[string] // that the amounts are in; pieces or sheets where it is left out
}

// identity reads the attributes from the first of several elements that has them.
func identity(nodes ...jdf.Node) Identity {
	first := func(names ...string) Fact[string] {
		for _, n := range nodes {
			for _, name := range names {
				if f := Text(n, name); f.Value != "" {
					return f
				}
			}
		}
		return Fact[string]{}
	}
	return Identity{
		Item: first("ProductID", "ExternalID"), Name: first("Brand", "DescriptiveName"),
		Type: first("MediaType", "ProductType", "ComponentType"), Unit: first("Unit"),
	}
}

// linked is the resource that a JDF link or a JMF ResourceInfo speaks of: the
// one it names, or the one that stands in it.
func (r *auditReader) linked(link jdf.Node) jdf.Node {
	if link.Has("rRef") {
		return r.named(link.Get("rRef"))
	}
	for c := range link.Children() {
		if c.Space() == jdf.NamespaceJDF && c.Has("Class") {
			return c
		}
	}
	return jdf.Node{}
}

// named finds the first element with an ID, of any kind.
func (r *auditReader) named(id string) jdf.Node {
	if r.all == nil {
		r.all = map[string]jdf.Node{}
		for e := range r.doc.Elements() {
			if id := e.Get("ID"); id != "" {
				if _, taken := r.all[id]; !taken {
					r.all[id] = e
				}
			}
		}
	}
	return r.all[id]
}
