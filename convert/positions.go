package convert

import (
	"strconv"

	"quoin/jdf"
)

// ofPositions moves what the 1.x generation says of a stripping, and the 2.x
// generation of each of its positions, into those.
func (x *riser) ofPositions(a jdf.Attr, at int32, f *frame) bool {
	if f.e.local != "Layout" {
		return false
	}
	e := f.e
	why := x.say("is said of each Position there")
	x.led.keep(at, why)
	x.now.queue = append(x.now.queue, func() {
		if e.child("Position") == nil {
			e.add("Position")
		}
		for _, p := range e.kids {
			if p.local == "Position" && !p.has(a.Local()) {
				p.attrs = append(p.attrs, attr{name: a.Local(), value: a.Value(), slot: at})
				x.led.keep(at, why)
			}
		}
	})
	e.slots = append(e.slots, at)
	return true
}

// ofStripping moves what all positions of a stripping say alike into it.
func (x *lowerer) ofStripping(a jdf.Attr, at int32, _ *frame) bool {
	if x.filling == nil || x.filling.m.kind != "StrippingParams" {
		return false
	}
	for p := range a.Owner().Parent().ChildrenNamed("Position") {
		if p.Get(a.Local()) != a.Value() {
			return false
		}
	}
	const why = "is said of the stripping there"
	if x.filling.f.e.has(a.Local()) {
		x.filling.f.e.slots = append(x.filling.f.e.slots, at)
		x.led.keep(at, why)
		return true
	}
	stripping := &frame{e: x.filling.f.e, t: x.typeIn("ResourcePool", "StrippingParams")}
	return x.put(stripping, a.Local(), a.Value(), at, why)
}

// inOrder notes the number of a position where the positions stand in the order
// of their numbers: the 1.x generation counts them as they stand.
func (x *lowerer) inOrder(a jdf.Attr, at int32, f *frame) bool {
	last := -1
	for p := range a.Owner().Parent().ChildrenNamed("Position") {
		n, err := strconv.Atoi(p.Get(a.Local()))
		if err != nil || n <= last {
			return false
		}
		last = n
	}
	f.e.slots = append(f.e.slots, at)
	x.led.keep(at, "the positions stand in the order of their numbers there")
	return true
}
