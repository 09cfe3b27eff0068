package convert

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
)

// A document is compared with another as a set of facts, each fact being an
// element, an attribute with its value, or a text, named by the element and the
// element around it. What is not compared, since it can not matter:
//
//   - the order of attributes, and of elements;
//   - the ids themselves: an id is any name, and a reference is compared by the
//     kind of element that it leads to;
//   - how deep a partition stands: partitions of a resource inherit, so that a
//     fact of the resource is one of each of its leaves;
//   - how deep a node of the tree stands: a group around nodes is no ticket;
//   - which of the pools of a tree holds a resource, and white space around text.

// fact names what a piece of a document says.
type fact struct{ name, value string }

func (f fact) String() string { return f.name + "=" + f.value }

// factsOf lists the facts of documents of one generation with the places that
// say them.
func factsOf(docs ...*jdf.Document) map[fact][]jdf.Place {
	all := map[fact][]jdf.Place{}
	for _, d := range docs {
		ids := map[string]string{}
		for n := range d.Elements() {
			if id := n.Get("ID"); id != "" {
				ids[id] = n.Local()
			}
		}
		for n := range d.Elements() {
			name := nameOf(n)
			all[fact{name, ""}] = append(all[fact{name, ""}], n.Place())
			for a := range n.Attrs() {
				if a.Local() == "ID" {
					continue
				}
				f := fact{name + "/@" + a.Name().String(), strings.Join(strings.Fields(a.Value()), " ")}
				if refers(d, n, a) {
					var to []string
					for id := range strings.FieldsSeq(a.Value()) {
						to = append(to, "->"+ids[id])
					}
					f.value = strings.Join(to, " ")
				}
				all[f] = append(all[f], a.Place())
			}
			for p := range n.Content() {
				if t := strings.TrimSpace(p.Text()); p.Kind() != jdf.KindElement && t != "" && p.Kind() != jdf.KindComment {
					all[fact{name + "/text()", t}] = append(all[fact{name + "/text()", t}], n.Place())
				}
			}
		}
	}
	return all
}

// nameOf names an element by itself and what it stands in: a partition as its
// resource, a resource as one of any pool.
func nameOf(n jdf.Node) string {
	for partitionOf(n) {
		n = n.Parent()
	}
	switch p := n.Parent(); {
	case !p.Valid(), n.Is("JDF"):
		return "/" + n.Local()
	case p.Is("ResourcePool"):
		return "pool/" + n.Local()
	default:
		return p.Local() + "/" + n.Local()
	}
}

// partitionOf reports whether an element is a partition of the one around it.
func partitionOf(n jdf.Node) bool {
	p := n.Parent()
	return n.Document().Kind.First() && p.Valid() && p.Local() == n.Local() && !n.Has("ID") &&
		!n.Is("JDF", "BundleItem", "Module")
}

// refers reports whether an attribute holds ids.
func refers(d *jdf.Document, n jdf.Node, a jdf.Attr) bool {
	if a.Local() == "rRef" || a.Local() == "rRefs" {
		return true
	}
	e := setOf(d.Kind.First()).Element(n.Local())
	if e == nil || e.Type().Attribute(a.Local()) == nil {
		return strings.HasSuffix(a.Local(), "Ref") || strings.HasSuffix(a.Local(), "Refs")
	}
	return isReference(e.Type().Attribute(a.Local()).Type)
}

// trip is a ticket that went there and back.
type trip struct {
	there, back *Result
	middle, end []*jdf.Document
	in          [2]map[string][]string // where a piece went, by its place: in the middle, and at the end
	out         [2]map[string][]string // where pieces of the middle and the end came from
}

func spot(p jdf.Place) string { return fmt.Sprint(p.File(), " ", p.Start, "-", p.End) }

func goThereAndBack(t *testing.T, opt Options, docs ...*jdf.Document) *trip {
	t.Helper()
	x := &trip{}
	var err error
	x.there, err = To(docs, other[docs[0].Kind], opt)
	require.NoError(t, err)
	x.middle = reread(t, x.there.Outputs)
	x.back, err = To(x.middle, docs[0].Kind, opt)
	require.NoError(t, err)
	x.end = reread(t, x.back.Outputs)
	for i, r := range []*Result{x.there, x.back} {
		places := r.led.places()
		x.in[i], x.out[i] = map[string][]string{}, map[string][]string{}
		for j, o := range r.Outputs {
			x.match(i, o.root, [][]*jdf.Document{x.middle, x.end}[i][j].Root(), places)
		}
	}
	return x
}

// places lists the place of each slot.
func (l *ledger) places() []jdf.Place {
	all := make([]jdf.Place, 0, len(l.slots))
	for i := range l.items(true) {
		all = append(all, i.Place)
	}
	return all
}

// match walks what was built and what was read of it side by side.
func (x *trip) match(i int, e *elem, n jdf.Node, places []jdf.Place) {
	note := func(slot int32, to jdf.Place) {
		if slot == none {
			return
		}
		x.in[i][spot(places[slot])] = append(x.in[i][spot(places[slot])], spot(to))
		x.out[i][spot(to)] = append(x.out[i][spot(to)], spot(places[slot]))
	}
	for _, s := range e.slots {
		note(s, n.Place())
	}
	for _, a := range e.attrs {
		b := n.AttrNS(a.space(), a.local())
		note(a.slot, b.Place())
	}
	kids := slices.Collect(n.Children())
	k := 0
	for _, c := range e.kids {
		if c.local != "" {
			x.match(i, c, kids[k], places)
			k++
		}
	}
}

// reasons of the losses and changes of a result, by place.
func reasonsOf(r *Result) map[string]Item {
	all := map[string]Item{}
	for i := range r.Losses() {
		all[spot(i.Place)] = i
	}
	return all
}

// unexplained lists the facts of a ticket that do not come back, and those that
// come back without having been there, but for what the reports say was lost,
// and what is normal.
func (x *trip) unexplained(docs []*jdf.Document) []string {
	before, after := factsOf(docs...), factsOf(x.end...)
	there, back := reasonsOf(x.there), reasonsOf(x.back)
	var all []string
	for f, places := range before {
		if len(after[f]) > 0 {
			continue
		}
		for _, p := range places {
			if why := x.whyHere(p, there, back); why != "" {
				all = append(all, "- "+f.String()+" ["+why+"]")
				break
			}
		}
	}
	for f, places := range after {
		if len(before[f]) > 0 || addedAnyway(f) {
			continue
		}
		for _, p := range places {
			if !x.origin(spot(p)) {
				all = append(all, "+ "+f.String())
				break
			}
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// why says why the reports do not explain that a piece does not come back, or "".
func (x *trip) why(p string, there, back map[string]Item) string {
	why := ""
	for _, step := range []struct {
		of map[string]Item
		at []string
	}{{there, []string{p}}, {back, x.in[0][p]}} {
		for _, q := range step.at {
			item, ok := step.of[q]
			switch {
			case !ok:
			case item.Outcome == Lost, normal[item.Reason] != "":
				return ""
			default:
				why += item.Reason + "; "
			}
		}
	}
	if why == "" {
		why = "both reports say carried"
	}
	return why
}

// whyHere looks at a piece, and at what it stands in: what moved takes along what
// is in it.
func (x *trip) whyHere(p jdf.Place, there, back map[string]Item) string {
	why := x.why(spot(p), there, back)
	for n := p.Node(); n.Valid() && why != ""; n = n.Parent() {
		item, ok := there[spot(n.Place())]
		if ok && (item.Outcome == Lost || moves[item.Reason]) {
			return ""
		}
		for _, q := range x.in[0][spot(n.Place())] {
			if item, ok := back[q]; ok && (item.Outcome == Lost || moves[item.Reason]) {
				return ""
			}
		}
	}
	return why
}

// moves are those of the normal reasons by which an element stands elsewhere,
// with all that is in it.
var moves = map[string]bool{
	"a private element stands in a set of its own there": true, "a private intent stands in the node itself there": true,
	"stands in a RunList there": true, "is a Resource of its own there": true, "is RunList there": true,
	"what it names stands in its place": true, "stands where it was referred to": true,
	"what it holds moves to RunList": true, "a link is a ResourceSet with a usage there": true,
	"a colour is an entry of the pool there": true, "stands in the Product there": true,
}

// origin reports whether a piece of the end came, by way of the middle, from the
// beginning, and so is a piece that was written differently.
func (x *trip) origin(p string) bool {
	return slices.ContainsFunc(x.out[1][p], func(mid string) bool { return len(x.out[0][mid]) > 0 })
}

// There and back again, a ticket is the same document, but for what the reports
// list as lost, and the few forms that are normal.
//
// Source: the published samples.
func TestDocumentsComeBack(t *testing.T) {
	compared := 0
	for _, kind := range []jdf.Kind{jdf.KindJDF, jdf.KindXJDF} {
		samples := samplesOf(t, kind)
		for _, name := range sorted(samples) {
			x := goThereAndBack(t, Options{Clock: noon}, samples[name])
			for _, line := range x.unexplained([]*jdf.Document{samples[name]}) {
				t.Errorf("%s: %s", name, line)
			}
			compared += len(factsOf(samples[name]))
		}
	}
	require.Greater(t, compared, 5000)
}

// flat takes the depth out of what a job says, and the line that names it: a group
// is no ticket, and what it says of its parts is said of each.
func flat(lines []string) []string {
	var all []string
	for _, l := range lines {
		if l = strings.TrimSpace(l); !strings.HasPrefix(l, "job:") {
			all = append(all, l)
		}
	}
	return all
}

// The same holds for tickets that nobody wrote: products with parts, partitions,
// combined processes and gray boxes, amounts, audits, intents, comments, general
// ids and private data, by chance. Each is valid before and after, and no piece
// of it is unaccounted for.
func TestGeneratedTicketsComeBack(t *testing.T) {
	seeds := uint64(120)
	if testing.Short() {
		seeds = 20
	}
	for seed := range seeds {
		for name, text := range map[string]string{"a.jdf": generateJDF(seed), "a.xjdf": generateXJDF(seed)} {
			doc := read(t, name, text)
			require.Empty(t, structureErrors(doc), text)
			x := goThereAndBack(t, Options{Clock: noon}, doc)
			for _, d := range slices.Concat(x.middle, x.end) {
				require.Empty(t, structureErrors(d), "from\n%s\nto\n%s", text, d.Source.Text)
			}
			require.Empty(t, x.unexplained([]*jdf.Document{doc}), "seed %d from\n%s\nto\n%s\nto\n%s", seed, text,
				x.middle[0].Source.Text, x.end[0].Source.Text)
			require.Empty(t, differences(flat(says(t, doc)), flat(says(t, x.end...))), "seed %d from\n%s\nto\n%s", seed, text,
				x.middle[0].Source.Text)
		}
	}
}

// With Keep, what has no counterpart is kept as private data and comes home: at
// least a quarter less is lost, and all stays valid.
//
// Source: the published samples.
func TestKeepBringsHome(t *testing.T) {
	lost := map[bool]int{}
	for _, kind := range []jdf.Kind{jdf.KindJDF, jdf.KindXJDF} {
		samples := samplesOf(t, kind)
		for _, name := range sorted(samples) {
			for _, keep := range []bool{false, true} {
				x := goThereAndBack(t, Options{Clock: noon, Keep: keep}, samples[name])
				for _, d := range slices.Concat(x.middle, x.end) {
					require.Empty(t, structureErrors(d), name)
				}
				for _, r := range []*Result{x.there, x.back} {
					_, tally := r.Causes()
					lost[keep] += tally.Lost
				}
			}
		}
	}
	require.Positive(t, lost[true])
	t.Logf("%d pieces are lost there and back, %d when they are kept", lost[false], lost[true])
	require.Less(t, lost[true]*4, lost[false]*3)
}
