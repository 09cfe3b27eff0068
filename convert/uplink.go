package convert

import (
	"strings"

	"quoin/jdf"
	"quoin/jdf/value"
)

// link writes what a resource link says of the Resources that it selects.
func (x *riser) link(set *frame, link jdf.Node, made []home) {
	x.led.keep(x.led.of(link), "a link is a ResourceSet with a usage there")
	at := x.led.of(link)
	for a := range link.Attrs() {
		at++
		x.linkAttribute(a, at, set, made)
	}
	for p := range link.Content() {
		switch {
		case p.Kind() != jdf.KindElement:
			x.led.loseAll(p, remarkLost)
		case p.Is("Part"):
			x.keepAll(p, "only the parts that a link selects are written there")
		case p.Is("AmountPool") && len(made) > 0:
			x.amountPool(p, made)
		case p.Is("Comment", "GeneralID"), foreign(p.Space()):
			x.child(p, set, &trie{}, true)
		default:
			x.led.loseAll(p, x.say("a ResourceSet has no ", p.Local()))
		}
	}
}

func (x *riser) linkAttribute(a jdf.Attr, at int32, set *frame, made []home) {
	const inside = "the ResourceSet holds what the link names"
	switch name := a.Local(); {
	case a.Name().Space != "":
		x.foreignAttribute(a, at, set)
	case name == "rRef":
		x.led.keep(at, inside)
	case name == "Usage", name == "ProcessUsage", name == "CombinedProcessIndex":
		why := ""
		if set.e.get(name) != a.Value() {
			why = "is written as the ResourceSet of all processes asks"
		}
		x.led.keep(at, why)
	case len(made) == 0:
		x.led.lose(at, "the link selects no part that is there")
	case name == "Amount", name == "MinAmount", name == "MaxAmount":
		x.amount(made[0], a.Local(), a.Value(), at)
	case name == "Orientation", name == "Transformation", name == "Start", name == "StartOffset", name == "Duration":
		for _, h := range made {
			x.put(h.res, name, a.Value(), at, "moves to the Resource")
		}
	default:
		x.lostByRow("ResourceLink", a, at)
	}
}

// lostByRow gives the reason that the table has for a name without counterpart.
func (x *riser) lostByRow(section string, a jdf.Attr, at int32) {
	for _, s := range x.table.up[section] {
		for _, r := range s.up.attrs[a.Local()] {
			x.led.lose(at, r.note)
			return
		}
	}
	x.led.lose(at, x.say("a ResourceSet has no ", a.Local()))
}

// amount writes a planned amount into the AmountPool of a Resource.
func (x *riser) amount(h home, name, v string, at int32) {
	f := x.poolOf(h, "")
	x.put(f, name, v, at, "is an amount of the Resource there")
}

// poolOf is the PartAmount of the Resource for the keys that its own Part lacks.
func (x *riser) poolOf(h home, keys string) *frame {
	if h.res.made == nil {
		h.res.made = map[string]*frame{}
	}
	if f := h.res.made["PartAmount "+keys]; f != nil {
		return f
	}
	pool := h.res.made["AmountPool"]
	if pool == nil {
		pool = x.open(h.res, "AmountPool", jdf.Node{})
		h.res.made["AmountPool"] = pool
	}
	f := x.open(pool, "PartAmount", jdf.Node{})
	h.res.made["PartAmount "+keys] = f
	return f
}

// ownAmount writes the amount that a resource has itself, where no link says one.
func (x *riser) ownAmount(made []home) {
	for _, h := range made {
		if h.res.e.child("AmountPool") != nil {
			continue
		}
		for _, n := range h.leaf.chain {
			if at := x.led.attr(n, "Amount"); at != none && h.res.t.Attribute("Amount") == nil {
				x.amount(h, "Amount", n.Get("Amount"), at)
				break
			}
		}
	}
}

// amountPool folds the amounts of a link into the Resources that they are for:
// good and waste of one part become one PartAmount.
func (x *riser) amountPool(pool jdf.Node, made []home) {
	const why = "the amounts of a link stand in the Resource there"
	x.led.keep(x.led.of(pool), why)
	at := x.led.of(pool)
	for a := range pool.Attrs() {
		at++
		x.lostByRow("AmountPool", a, at)
	}
	for n := range pool.Content() {
		if !n.Is("PartAmount") {
			x.led.loseAll(n, remarkLost)
			continue
		}
		x.led.keep(x.led.of(n), why)
		x.partAmount(n, made)
	}
}

func (x *riser) partAmount(n jdf.Node, made []home) {
	h, part := made[0], n.Child("Part")
	for _, m := range made {
		if m.leaf.meets(part) {
			h = m
			break
		}
	}
	rest := map[string]jdf.Attr{}
	condition := ""
	for a := range part.Attrs() {
		switch v, ok := h.leaf.get(a.Local()); {
		case a.Local() == "Condition":
			condition = a.Value()
		case !ok || v != a.Value():
			rest[a.Local()] = a
		}
	}
	var keys strings.Builder
	for _, k := range sorted(rest) {
		keys.WriteString(k + "=" + rest[k].Value() + " ")
	}
	f := x.poolOf(h, keys.String())
	x.restOfPart(f, n, rest)
	at := x.led.of(n)
	for a := range n.Attrs() {
		at++
		x.oneAmount(f, a, at, condition)
	}
}

// restOfPart writes the keys that the Resource does not have, and notes all
// parts of the PartAmount.
func (x *riser) restOfPart(f *frame, n jdf.Node, rest map[string]jdf.Attr) {
	first := true
	for p := range n.Content() {
		if !p.Is("Part") || !first {
			x.led.loseAll(p, "an amount is for one part there")
			continue
		}
		first = false
		x.led.keep(x.led.of(p), "the Resource has the part")
		var q *frame
		at := x.led.of(p)
		for a := range p.Attrs() {
			at++
			switch _, ok := rest[a.Local()]; {
			case a.Local() == "Condition":
				x.led.keep(at, "good and waste are told apart by attributes there")
			case !ok:
				x.led.keep(at, "the Resource has the part")
			case f.e.child("Part") != nil && q == nil:
				x.led.keep(at, "stands there once for several places")
			default:
				if q == nil {
					q = x.open(f, "Part", jdf.Node{})
					q.s = x.sectionOf("Part", "Part")
				}
				x.partKey(a, at, q)
			}
		}
		if q != nil && q.e.bare() {
			f.e.kids = f.e.kids[:len(f.e.kids)-1]
		}
	}
}

func (x *riser) oneAmount(f *frame, a jdf.Attr, at int32, condition string) {
	waste := condition != "" && condition != "Good"
	switch name := a.Local(); {
	case name == "Amount" && waste:
		if value.IsNMTOKEN(condition) && condition != "Waste" {
			w := x.open(f, "PartWaste", jdf.Node{})
			w.e.set("WasteDetails", condition)
			x.put(w, "Waste", a.Value(), at, "is a PartWaste there")
			return
		}
		x.put(f, "Waste", a.Value(), at, "is PartAmount/@Waste there")
	case name == "Amount" || name == "MinAmount" || name == "MaxAmount":
		if waste {
			x.led.lose(at, "waste has one amount there")
			return
		}
		x.put(f, name, a.Value(), at, "")
	default:
		x.lostByRow("PartAmount", a, at)
	}
}
