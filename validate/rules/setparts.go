package rules

import (
	"iter"
	"maps"
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/validate"
)

var setPartChecks = []check{
	{
		Rule: &validate.Rule{
			ID: "ref/set-part-twice", Severity: validate.Error, Mends: validate.Sender,
			Say: "the set has a second Resource for {part}",
			Do:  "tell the two apart by their Parts, or join them",
			Why: "In a set that a process is given, each part is described once (from memory: XJDF 2.x, Structure " +
				"chapter, partitioning). Resources that others name by ID are told apart by it, and those without Part " +
				"are several things of one kind, as a sample with three die layouts shows.",
		},
		kinds: onlyXJDF, run: setPartTwice,
		Bad: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="FoldingParams" Usage="Input">
    <Resource><Part SheetName="S1"/></Resource><Resource><Part SheetName="S1"/></Resource>
  </ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="FoldingParams" Usage="Input">
    <Resource><Part SheetName="S1"/></Resource><Resource><Part SheetName="S2"/></Resource>
  </ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "ref/set-part-overlap", Severity: validate.Warning, Mends: validate.Sender,
			Say: "{part} and {other} of this set overlap, and neither lies within the other",
			Do:  "select by the same keys, so that one part refines the other",
			Why: "The more specific Part wins; of two that overlap by halves, none does (from memory: XJDF 2.x, " +
				"Structure chapter, sparse partitioning).",
		},
		kinds: onlyXJDF, run: setPartOverlap,
		Bad: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="NodeInfo" Usage="Input">
    <Resource><Part SheetName="S1"/></Resource><Resource><Part Side="Front"/></Resource>
  </ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="NodeInfo" Usage="Input">
    <Resource><Part SheetName="S1"/></Resource><Resource><Part SheetName="S1" Side="Front"/></Resource>
  </ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "ref/part-spelled-out", Severity: validate.Note, Mends: validate.Sender,
			Say: "the Resource lists both sides of {part}",
			Do:  "leave Side out; the coarser Part says the same",
			Why: "The standard's sample of a bad sparse partition: all values of a key are the same as no key.",
		},
		kinds: onlyXJDF, run: partSpelledOut,
		Bad: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="NodeInfo" Usage="Input">
    <Resource><Part SheetName="S1" Side="Front"/><Part SheetName="S1" Side="Back"/></Resource>
  </ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="NodeInfo" Usage="Input"><Resource><Part SheetName="S1"/></Resource></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "ref/set-keys-mixed", Severity: validate.Note, Mends: validate.Sender,
			Say: "the set is split by {got} here and by {want} in its first Resource",
			Do:  "split all Resources of a set by the same keys",
			Why: "A set is split by one list of keys or by the first of them (from memory: XJDF 2.x, Structure chapter; " +
				"one published sample breaks it).",
		},
		kinds: onlyXJDF, run: setKeysMixed,
		Bad: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="NodeInfo" Usage="Input">
    <Resource><Part SheetName="S1"/></Resource><Resource><Part BlockName="B1"/></Resource>
  </ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="NodeInfo" Usage="Input">
    <Resource><Part SheetName="S1"/></Resource><Resource><Part SheetName="S2" Side="Front"/></Resource>
  </ResourceSet>
</XJDF>`,
	},
}

// resourceParts lists the parts of the Resources of a set, in order. A
// Resource without Part stands for the whole, which is within no other and
// overlaps none.
func resourceParts(s jdf.Node, visit func(r, part jdf.Node)) {
	for r := range s.ChildrenNamed("Resource") {
		for part := range r.ChildrenNamed("Part") {
			visit(r, part)
		}
	}
}

func count(nodes iter.Seq[jdf.Node]) int {
	n := 0
	for range nodes {
		n++
	}
	return n
}

// keyNames adds the keys of a Part to a list, in the order written.
func keyNames(names []int, part jdf.Node) []int {
	for a := range part.Attrs() {
		names = append(names, a.NameID())
	}
	return names
}

// hasKeys reports whether a Part has the same keys in the same order, as nearly
// all of a set have.
func hasKeys(part jdf.Node, names []int) bool {
	i := 0
	for a := range part.Attrs() {
		if i == len(names) || a.NameID() != names[i] {
			return false
		}
		i++
	}
	return i == len(names)
}

// splitAlike reports whether all Parts of a set have the same keys.
func (u *use) splitAlike() bool {
	if !u.compared {
		u.compared, u.alike = true, splitAlike(u.Node)
	}
	return u.alike
}

func splitAlike(s jdf.Node) bool {
	var room [8]int
	first := room[:0]
	any := false
	for r := range s.ChildrenNamed("Resource") {
		for part := range r.ChildrenNamed("Part") {
			if !any {
				any, first = true, keyNames(first, part)
			} else if !hasKeys(part, first) {
				return false
			}
		}
	}
	return true
}

func setPartTwice(p *pass) {
	for _, u := range p.index.uses {
		first := &p.index.parts
		first.forget()
		first.expect(count(u.ChildrenNamed("Resource")))
		resourceParts(u.Node, func(r, part jdf.Node) {
			if u.usage == "" && r.Has("ID") {
				return
			}
			before := first.put(part)
			if !before.Valid() {
				return
			}
			if key := partKey(part); key != "" {
				p.atWith(part.NamePlace(), before.NamePlace(), "the first is here", fact("part", partWords(key)))
			}
		})
	}
}

func setPartOverlap(p *pass) {
	for _, u := range p.index.uses {
		if u.usage == "" || u.splitAlike() {
			continue
		}
		// Parts with the same set of keys are either equal or apart, so that
		// only the different sets of keys need be compared.
		byKeys := map[string][]string{}
		places := map[string]jdf.Place{}
		resourceParts(u.Node, func(_, part jdf.Node) {
			key := partKey(part)
			if _, known := places[key]; known {
				return
			}
			places[key] = part.NamePlace()
			names := strings.Join(slices.Sorted(maps.Keys(partMap(key))), " ")
			byKeys[names] = append(byKeys[names], key)
		})
		p.overlaps(byKeys, places)
	}
}

// overlaps compares the parts of each two sets of keys by the keys that both
// have.
func (p *pass) overlaps(byKeys map[string][]string, places map[string]jdf.Place) {
	groups := slices.Sorted(maps.Keys(byKeys))
	const most = 32 // more sets of keys are no partitioning, and comparing them all would take long
	for i, g := range groups[:min(len(groups), most)] {
		for _, h := range groups[:i] {
			a, b := keySet(g), keySet(h)
			if includes(a, b) || includes(b, a) {
				continue
			}
			maps.DeleteFunc(a, func(k, _ string) bool { return b[k] == "" })
			common := slices.Sorted(maps.Keys(a))
			first := map[string]string{}
			for _, key := range byKeys[h] {
				if at := pick(partMap(key), common); first[at] == "" {
					first[at] = key
				}
			}
			for _, key := range byKeys[g] {
				if other := first[pick(partMap(key), common)]; other != "" {
					p.overlap(places, key, other)
					break
				}
			}
		}
	}
}

func (p *pass) overlap(places map[string]jdf.Place, one, other string) {
	if places[one].Compare(places[other]) < 0 {
		one, other = other, one
	}
	p.atWith(places[one], places[other], "the other is here",
		fact("part", partWords(one)), fact("other", partWords(other)))
}

func keySet(names string) map[string]string {
	m := map[string]string{}
	for _, n := range strings.Fields(names) {
		m[n] = "x"
	}
	return m
}

// severalParts reports whether a Resource has more than one Part.
func severalParts(r jdf.Node) bool {
	n := 0
	for range r.ChildrenNamed("Part") {
		if n++; n > 1 {
			return true
		}
	}
	return false
}

func partSpelledOut(p *pass) {
	for r := range p.named("Resource") {
		if !severalParts(r) {
			continue
		}
		seen := map[string]jdf.Place{}
		for part := range r.ChildrenNamed("Part") {
			side := part.Get("Side")
			if side == "" {
				continue
			}
			rest := strings.ReplaceAll(partSeparator+partKey(part)+partSeparator,
				partSeparator+"Side="+side+partSeparator, partSeparator)
			key := strings.Trim(rest, partSeparator)
			if before, other := seen[key]; other {
				p.atWith(part.NamePlace(), before, "the other side", fact("part", partWords(key)))
			}
			seen[key] = part.NamePlace()
		}
	}
}

func setKeysMixed(p *pass) {
	for _, u := range p.index.uses {
		if u.usage == "" || u.splitAlike() {
			continue
		}
		var first map[string]string
		var firstAt jdf.Place
		told := false
		resourceParts(u.Node, func(_, part jdf.Node) {
			keys := keySet(strings.Join(slices.Collect(maps.Keys(partMap(partKey(part)))), " "))
			switch {
			case len(keys) == 0 || told:
			case first == nil:
				first, firstAt = keys, part.NamePlace()
			case !includes(first, keys) && !includes(keys, first):
				told = true
				p.atWith(part.NamePlace(), firstAt, "the first is here",
					fact("got", keyWords(keys)), fact("want", keyWords(first)))
			}
		})
	}
}

func keyWords(keys map[string]string) string {
	return strings.Join(slices.Sorted(maps.Keys(keys)), " and ")
}
