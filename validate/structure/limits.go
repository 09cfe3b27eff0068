package structure

import (
	"slices"
	"strconv"
	"strings"

	"quoin/jdf"
	"quoin/schemas"
	"quoin/validate"
)

// limits holds the number of children against the cardinalities that the schema
// only notes.
func (c *checker) limits(n jdf.Node, in *typeInfo, counts []uint16, v schemas.Version) {
	for _, l := range in.model.Limits() {
		got := 0
		for _, symbol := range l.Symbols {
			got += int(counts[symbol])
		}
		if got > 0 && l.Attr != "" {
			got = countWith(n, l)
		}
		switch {
		case l.Max != schemas.Unbounded && got > l.Max:
			c.tooMany(n, in, l, got)
		case got < l.Min && in.model.Asked(l, v) && !answersBriefly(n, in) && !c.completed(n, in, l):
			f := missingElement.At(n.Place(), fact("parent", n.Local()),
				fact("element", limitName(l)), fact("count", countHint(got, l.Min)), basis)
			f.Severity = limitSeverity(in, l)
			c.report(f)
		}
	}
}

// answersBriefly tells whether an answer is without what its kind of answer
// carries: because it refuses, or because that comes later, in an acknowledge or
// in the signals of a subscription.
func answersBriefly(n jdf.Node, in *typeInfo) bool {
	if !in.message || !n.Is("Response") && !n.Is("Acknowledge") {
		return false
	}
	code := strings.TrimLeft(strings.TrimSpace(n.Get("ReturnCode")), "+0")
	return code != "" || isTrue(n.Get("Acknowledged")) || isTrue(n.Get("Subscribed"))
}

func isTrue(value string) bool {
	value = strings.TrimSpace(value)
	return value == "true" || value == "1"
}

// basis marks findings that rest on the notes of the schema, which no schema
// processor reads.
var basis = validate.Fact{Name: "basis", Value: "note"}

// countWith counts the children that a condition speaks of; references count
// for what they refer to.
func countWith(n jdf.Node, l schemas.Limit) int {
	got := 0
	for child := range n.Children() {
		if i := slices.Index(l.Names, child.Local()); i >= 0 && (i > 0 || child.Get(l.Attr) == l.Value) {
			got++
		}
	}
	return got
}

func limitName(l schemas.Limit) string {
	name := orList(l.Names)
	if l.Attr != "" {
		name += " with " + l.Attr + " " + strconv.Quote(l.Value)
	}
	return name
}

func orList(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " or " + names[last]
}

func (c *checker) tooMany(n jdf.Node, in *typeInfo, l schemas.Limit, got int) {
	seen := 0
	for child := range n.Children() {
		if !slices.Contains(l.Names, child.Local()) || l.Attr != "" && child.Get(l.Attr) != l.Value {
			continue
		}
		if seen++; seen <= l.Max {
			continue
		}
		f := tooMany.At(child.NamePlace(), fact("parent", n.Local()), fact("element", limitName(l)),
			fact("got", strconv.Itoa(got)), fact("most", strconv.Itoa(l.Max)), basis)
		f.Severity = limitSeverity(in, l)
		c.report(f)
		return
	}
}

// completed tells whether an element need not have what a limit asks for: a
// partition inherits from those around it, a partitioned resource may leave it
// to its partitions, one that is the same as another has nothing of its own, and
// an update carries only what changes. What no part of a resource has is told
// once, of the whole.
func (c *checker) completed(n jdf.Node, in *typeInfo, l schemas.Limit) bool {
	switch {
	case strings.HasSuffix(n.Local(), "Update") || n.Parent().Is("ResourceCmdParams"):
		return true
	case in.root:
		return c.partHas(n, l)
	case !in.leaf:
		return false
	}
	for child := range n.Children() {
		if child.NameID() == n.NameID() || child.Is("Identical") {
			return true
		}
	}
	whole := n
	for p := n.Parent(); p.Valid() && p.NameID() == n.NameID(); p = p.Parent() {
		if c.hasAny(p, l) {
			return true
		}
		whole = p
	}
	return !c.partHas(whole, l)
}

// partHas tells whether some partition of a resource has what a limit asks for.
func (c *checker) partHas(n jdf.Node, l schemas.Limit) bool {
	k := partKey{n.Index(), l.Names[0]}
	has, known := c.sub[k]
	if known {
		return has
	}
	for child := range n.Children() {
		if child.NameID() == n.NameID() && (c.hasAny(child, l) || c.partHas(child, l)) {
			has = true
			break
		}
	}
	remember(&c.sub, k, has)
	return has
}

// fewChildren is how many children are looked through each time they are asked
// about; what a part with more of them has is remembered.
const fewChildren = 16

// hasAny tells whether a part of a resource has what a limit asks for itself.
func (c *checker) hasAny(n jdf.Node, l schemas.Limit) bool {
	looked := 0
	var k partKey
	for child := range n.Children() {
		if slices.Contains(l.Names, child.Local()) {
			if looked >= fewChildren {
				remember(&c.own, k, true)
			}
			return true
		}
		if looked++; looked == fewChildren {
			k = partKey{n.Index(), l.Names[0]}
			if has, known := c.own[k]; known {
				return has
			}
		}
	}
	if looked >= fewChildren {
		remember(&c.own, k, false)
	}
	return false
}

// remember keeps an answer in a map that few documents need.
func remember(answers *map[partKey]bool, k partKey, has bool) {
	if *answers == nil {
		*answers = map[partKey]bool{}
	}
	(*answers)[k] = has
}
