package rules

import (
	"slices"
	"strings"

	"quoin/jdf"
)

// The attributes of type IDREF and IDREFS of each generation.
// Source: the published schemas of JDF 1.x and XJDF 2.x.
var (
	refersJDF = set("ActionRef", "ActionRefs", "ContentDataRefs", "ContentRef", "ContentRefs", "DependentMacroRef",
		"DevCapRef", "DevCapRefs", "DevCapsRef", "KnockoutRefs", "MacroRefs", "ModuleRefs", "SetRef", "TestRef",
		"jRef", "rRef", "rRefs", "rRefsROCopied", "rRefsRWCopied", "rSubRef", "ref", "refID", "rRefsOverwritten")
	refersXJDF = set("ChildRef", "ChildRefs", "ComponentRef", "ContactRef", "ContactRefs", "Container", "ContentRef",
		"ContentRefs", "DieLayoutRef", "FilmRef", "GlueRef", "ItemRef", "KnockoutRefs", "MediaRef", "PaperRef",
		"PlateRef", "PositionRef", "ProofPaperRef", "RunListRef", "ShapeDefRef", "ToolRef", "rRef")
)

// reference is one id that an attribute names.
type reference struct {
	x *index
	*referring
	nth int // among the ids of the attribute
}

// referring is an id that an attribute names. It is kept small, for a large
// ticket has very many.
type referring struct {
	from, attrName int32 // the element, and the NameID of the attribute
	to             int32 // the element that has the id, or 0
}

// attr is the attribute that names the id.
func (r reference) attr() jdf.Attr { return r.owner().Attr(r.name()) }

// name is the local name of the attribute.
func (r reference) name() string { return r.x.doc.Names()[r.attrName].Local }

// owner is the element that refers.
func (r reference) owner() jdf.Node { return r.x.doc.Node(int(r.from)) }

// target is the element that has the id; it is not valid when none has.
func (r reference) target() jdf.Node { return r.x.doc.Node(int(r.to)) }

func (r reference) id() string {
	i := 0
	for id := range strings.FieldsSeq(r.attr().Value()) {
		if i == r.nth {
			return id
		}
		i++
	}
	return ""
}

// refer notes the ids that an attribute names; their elements may come later.
func (x *index) refer(a jdf.Attr) {
	for range strings.FieldsSeq(a.Value()) {
		if len(x.refers) == cap(x.refers) {
			x.refers = slices.Grow(x.refers, len(x.refers))
		}
		x.refers = append(x.refers, referring{from: int32(a.Owner().Index()), attrName: int32(a.NameID())})
	}
}

// resolve finds the elements that are referred to.
func (x *index) resolve() {
	last, to := "", int32(x.byID("").Index()) // one medium may be named by all plates
	for i := 0; i < len(x.refers); {
		r := reference{x: x, referring: &x.refers[i]}
		for id := range strings.FieldsSeq(r.attr().Value()) {
			if id != last {
				last, to = id, int32(x.byID(id).Index())
			}
			x.refers[i].to = to
			i++
		}
	}
}

// references gives every id that an attribute names, in document order.
func (x *index) references(yield func(reference) bool) {
	r := reference{x: x}
	for i := range x.refers {
		before := r.referring
		r.referring = &x.refers[i]
		if r.nth++; before == nil || before.from != r.from || before.attrName != r.attrName {
			r.nth = 0
		}
		if !yield(r) {
			return
		}
	}
}
