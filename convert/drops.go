package convert

import (
	"slices"
	"strconv"

	"quoin/jdf"
)

// drops turns delivery parameters with several drops into a Resource for each.
// Those with one, or with partitions that have one each, keep their Resources.
func (x *riser) drops(t *ticket, r, link jdf.Node) bool {
	drops := slices.Collect(r.ChildrenNamed("Drop"))
	if len(drops) < 2 || r.Has("PartIDKeys") {
		return false
	}
	set := x.openSet(t, "DeliveryParams", link.Get("Usage"), link.Get("ProcessUsage"), "")
	if link.Valid() {
		x.keepAll(link, "a link is a ResourceSet with a usage there")
	}
	t.homes[r.Index()] = []home{}
	t.queue = append(t.queue, func() {
		for i, d := range drops {
			key := d.Get("DropID")
			if key == "" {
				key = "Drop_" + strconv.Itoa(i+1)
			}
			x.drop(set, r, d, key)
		}
		x.led.loseAll(r, "each drop is a Resource there")
	})
	return true
}

// oneDrop puts the only drop of delivery parameters, or of a partition of them,
// into the Resource. What it says goes before what is said for all drops.
func (x *riser) oneDrop(d jdf.Node, f *frame) bool {
	if drops := slices.Collect(d.Parent().ChildrenNamed("Drop")); len(drops) != 1 || f.e.local != "DeliveryParams" {
		return false
	}
	f.e.attrs = slices.DeleteFunc(f.e.attrs, func(a attr) bool {
		if !d.Has(a.name) {
			return false
		}
		x.led.drop(a.slot, "the drop says otherwise")
		return true
	})
	own := f.s
	f.s = x.sectionOf("Drop", "DeliveryParams")
	x.mark(f.e, d, "a drop is a Resource there")
	x.fill(d, f, func(local string) bool { return local == "DropItem" })
	f.s = own
	for item := range d.ChildrenNamed("DropItem") {
		x.dropItem(f, item)
	}
	return true
}
