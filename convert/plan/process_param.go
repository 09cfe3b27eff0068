package plan

import (
	"strings"

	"quoin/jdf"
	"quoin/jdf/job"
)

// told is what parameters of an operation say of one side of a sheet.
type told struct {
	side Surface
	name string // DescriptiveName
}

// sidesTold are the sides that the parameters of an operation are for, where they
// are partitioned by side.
func sidesTold(op *job.Operation, kind string) []told {
	var all []told
	for _, u := range op.Inputs {
		side := Surface(strings.ToLower(u.Part.Get("Side")))
		if u.Kind == kind && (side == Front || side == Back) {
			all = append(all, told{side, descriptiveName(op, u, kind)})
		}
	}
	return all
}

// descriptiveName is that of the resource behind a use.
func descriptiveName(op *job.Operation, u *job.Use, kind string) string {
	if ref := u.Node.Get("rRef"); ref != "" {
		return sideLeaf(resourceByID(op, kind, ref), u.Part.Get("Side")).Get("DescriptiveName")
	}
	if name := u.Node.Get("DescriptiveName"); name != "" {
		return name
	}
	return u.Node.Parent().Get("DescriptiveName")
}

// resourceByID is a resource in the pool of the node of an operation, or of one
// around it; an element that is not valid where there is none.
func resourceByID(op *job.Operation, kind, id string) jdf.Node {
	for n := op.Node; n.Valid(); n = n.Parent() {
		for r := range n.Child("ResourcePool").ChildrenNamed(kind) {
			if r.Get("ID") == id {
				return r
			}
		}
	}
	return jdf.Node{}
}

// sideLeaf is the partition of a side within a resource, else the resource.
func sideLeaf(n jdf.Node, side string) jdf.Node {
	if n.Get("Side") == side {
		return n
	}
	for c := range n.ChildrenNamed(n.Local()) {
		if leaf := sideLeaf(c, side); leaf.Get("Side") == side {
			return leaf
		}
	}
	return n
}
