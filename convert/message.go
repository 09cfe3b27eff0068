package convert

import (
	"strings"

	"quoin/jdf"
)

// messenger converts a document of messages.
type messenger struct {
	*conv
	doc      *jdf.Document
	opt      Options
	root     *frame
	prefixes *prefixes
	names    map[string]bool // IDs given
	rises    *riser          // for names of resources
	lowers   *lowerer
}

// messages converts JMF into XJMF or back, each document alone.
func (r *Result) messages(docs []*jdf.Document, up bool, opt Options) error {
	for i, d := range docs {
		x := newMessenger(r.led, d, up, opt)
		name, kind, ext := "JMF", jdf.KindJMF, ".jmf"
		if up {
			name, kind, ext = "XJMF", jdf.KindXJMF, ".xjmf"
		}
		e := &elem{local: name}
		x.root = &frame{e: e, t: x.to.Element(name).Type(), owner: d.Root()}
		x.mark(e, d.Root(), x.renamed(d.Root().Local(), name))
		if up {
			x.riseAll()
		} else {
			x.lowerAll()
		}
		if x.finish(e, x.prefixes) {
			r.Outputs = append(r.Outputs, Output{r.messageName(d, i, ext), kind, e, x.prefixes})
		}
	}
	return nil
}

// messageName is the name of the source with the extension of the target.
func (r *Result) messageName(d *jdf.Document, i int, ext string) string {
	base := d.Source.Name
	if at := strings.LastIndexAny(base, `/\`); at >= 0 {
		base = base[at+1:]
	}
	if at := strings.LastIndexByte(base, '.'); at > 0 {
		base = base[:at]
	}
	return r.name((&elem{}).set("JobID", firstOf(base, "message")), i, ext)
}

func newMessenger(led *ledger, d *jdf.Document, up bool, opt Options) *messenger {
	x := &messenger{doc: d, opt: opt, names: map[string]bool{}, prefixes: newPrefixes([]*jdf.Document{d})}
	if up {
		x.rises = newRiser(led, d, opt)
		x.conv = x.rises.conv
		x.hooks = map[string]hook{}
		x.refer = func(jdf.Node, string, *frame) (string, bool) { return "", false }
		x.riseHooks()
		return x
	}
	x.lowers = newLowerer(led, []*jdf.Document{d}, opt)
	x.conv = x.lowers.conv
	x.hooks = map[string]hook{}
	x.attrs = map[string]attrHook{}
	x.point = func(string, string, int32, *frame) bool { return false }
	x.lowerHooks()
	return x
}

// riseAll converts JMF into XJMF.
func (x *messenger) riseAll() {
	n := x.doc.Root()
	x.root.e.set("Version", x.opt.Version.String())
	h := x.open(x.root, "Header", jdf.Node{})
	h.s, h.owner = x.sectionOf("JMF", "Header"), n
	x.fill(n, h, func(local string) bool {
		switch {
		case local == "@Version":
			x.led.keep(x.led.attr(n, "Version"), "the generations have versions of their own")
			return true
		case local[0] == '@', strings.HasPrefix(local, "Employee"):
			return false
		}
		return true
	})
	h.e.kids = nil // private elements stand beside the header
	for c := range n.Content() {
		switch {
		case c.Kind() != jdf.KindElement:
			x.led.loseAll(c, remarkLost)
		case foreign(c.Space()):
			x.root.e.kids = append(x.root.e.kids, x.copyForeign(c))
		case c.Is("Query", "Command", "Signal", "Response", "Acknowledge", "Registration"):
			x.rise(c, h.e)
		default:
			x.led.loseAll(c, "XJMF holds a header and messages only")
		}
	}
}

// rise converts one message. One that has no counterpart is carried as it
// stands, in its own namespace: an XJMF may hold such elements.
func (x *messenger) rise(n jdf.Node, around *elem) {
	family, kind := n.Local(), n.Get("Type")
	if family == "Acknowledge" {
		family = "Response"
	}
	operation, _ := x.table.word("operation", kind, true)
	if to, ok := x.table.word("message type", kind, true); ok {
		kind = to
	}
	e := x.to.Element(family + kind)
	if e == nil || e.Head() != family || e.Abstract() {
		x.verbatim(n)
		return
	}
	f := x.open(x.root, family+kind, n)
	f.s = x.sectionOf("Message", "Message")
	h := x.open(f, "Header", jdf.Node{})
	h.s, h.owner = x.sectionOf("MessageHead", "Header"), n
	head := h.s.up
	inHead := func(local string) bool {
		if name, ok := strings.CutPrefix(local, "@"); ok {
			return head.attrs[name] != nil
		}
		return head.kids[strings.TrimSuffix(local, "Ref")] != nil
	}
	x.fill(n, h, func(local string) bool { return !inHead(local) })
	for _, name := range []string{"DeviceID", "Time"} {
		if !h.e.has(name) {
			h.e.set(name, firstOf(around.get(name), "unknown"))
		}
	}
	switch {
	case family == "Command" && operation != "" && kind == "ModifyQueueEntry":
		g := x.open(f, "ModifyQueueEntryParams", jdf.Node{})
		g.e.set("Operation", operation)
		g.s, g.owner = x.sectionOf("QueueCommand", "ModifyQueueEntryParams"), n
		x.fill(n, g, func(local string) bool { return local[0] == '@' })
		x.fill(n, f, func(local string) bool { return local[0] != '@' || inHead(local) })
	default:
		x.fill(n, f, inHead)
		if p := f.e.child("PipeParams"); p != nil && operation != "" {
			p.set("Operation", operation)
		}
	}
}

// verbatim takes over a message as it stands.
func (x *messenger) verbatim(n jdf.Node) {
	x.root.e.kids = append(x.root.e.kids, x.copyForeign(n))
}

func (x *messenger) riseHooks() {
	for _, family := range []string{"Query", "Command", "Signal", "Response", "Acknowledge"} {
		x.hooks[family+"/ResourceInfo"] = x.riseResource
		x.hooks[family+"/ResourceCmdParams"] = x.riseResource
	}
	x.hooks["Response/DeviceInfo"] = x.riseNothing
	x.hooks["Response/Queue"], x.hooks["Acknowledge/Queue"] = x.entriesOf, x.entriesOf
	x.attrs = map[string]attrHook{
		"QueueEntry/@Status": x.riseQueueStatus, "QueueSubmissionParams/@Hold": x.riseHold,
	}
}

// riseNothing leaves out a device that nothing is known of: an answer need not
// tell of one there.
func (x *messenger) riseNothing(n jdf.Node, _ *frame) bool {
	for a := range n.Attrs() {
		if a.Local() != "DeviceStatus" || a.Value() != "Unknown" {
			return false
		}
	}
	for range n.Content() {
		return false
	}
	x.led.loseAll(n, "it tells nothing of a device")
	return true
}

// riseQueueStatus writes the status of a queue entry; some are an activation there.
func (x *messenger) riseQueueStatus(a jdf.Attr, at int32, f *frame) bool {
	v, ok := x.table.word("queue status", a.Value(), true)
	if !ok {
		return false
	}
	why := ""
	if v != a.Value() {
		why = "the words differ between the generations"
	}
	switch a.Value() {
	case "Held", "PendingReturn", "Removed":
		f.e.set("Activation", a.Value())
	}
	return x.put(f, "Status", v, at, why)
}

func (x *messenger) riseHold(a jdf.Attr, at int32, f *frame) bool {
	v := map[string]string{"true": "Held", "false": "Active"}[a.Value()]
	return x.put(f, "Activation", v, at, "is QueueSubmissionParams/@Activation there")
}

// riseResource writes what a message says of a resource into a set.
func (x *messenger) riseResource(n jdf.Node, f *frame) bool {
	g := x.open(f, n.Local(), n)
	set := x.open(g, "ResourceSet", jdf.Node{})
	res := x.open(set, "Resource", jdf.Node{})
	res.up = set
	spec := x.specific(n, set, res)
	s := &trie{}
	if g.s != nil {
		s = g.s.up
	}
	h := home{&leaf{}, res, nil}
	actual := hasActual(n)
	at := x.led.of(n)
	for a := range n.Attrs() {
		at++
		switch name := a.Local(); {
		case a.Name().Space == "" && x.inSet(a, at, set, res):
		case name == "Amount" && !actual && !n.Has("Scope"):
			g.e.set("Scope", "Estimate") // what is asked for, not what was counted
			x.put(x.rises.poolOf(h, ""), "Amount", a.Value(), at, "is PartAmount/@Amount there")
		case name == "ActualAmount", name == "Amount" && !actual, name == "ProductionAmount":
			x.put(x.rises.poolOf(h, ""), "Amount", a.Value(), at, "is PartAmount/@Amount there")
		default:
			x.attribute(a, at, g, s, true)
		}
	}
	for p := range n.Content() {
		switch {
		case p == spec:
		case p.Is("Part"):
			x.child(p, res, &trie{}, true)
		case p.Is("AmountPool"):
			for pa := range p.ChildrenNamed("PartAmount") {
				x.rises.auditAmounts(h, pa, pa.Child("Part"), actual)
			}
			x.led.loseAll(p, "the resource has one amount of each part there")
		case p.Kind() != jdf.KindElement:
			x.led.loseAll(p, remarkLost)
		default:
			x.child(p, g, s, true)
		}
	}
	return true
}

// inSet writes what is said of the resource as a whole.
func (x *messenger) inSet(a jdf.Attr, at int32, set, res *frame) bool {
	switch name := a.Local(); name {
	case "ResourceName":
		if set.e.has("Name") {
			set.e.slots = append(set.e.slots, at)
			x.led.keep(at, "is ResourceSet/@Name there")
			return true
		}
		return x.put(set, "Name", a.Value(), at, "is ResourceSet/@Name there")
	case "Usage", "ProcessUsage", "Unit":
		return x.put(set, name, a.Value(), at, x.say("is ResourceSet/@", name, " there"))
	case "ProductID":
		return x.put(res, "ExternalID", a.Value(), at, "is Resource/@ExternalID there")
	case "ResourceID":
		return x.put(res, "ID", a.Value(), at, "is Resource/@ID there")
	case "Orientation", "Transformation":
		return x.put(res, name, a.Value(), at, "moves to the Resource")
	case "Status":
		if v, ok := x.table.word("resource status", a.Value(), true); ok {
			return x.put(res, name, v, at, "moves to the Resource")
		}
	}
	return false
}

// specific writes the resource that a message holds, and names its set.
func (x *messenger) specific(n jdf.Node, set, res *frame) jdf.Node {
	kind := n.Get("ResourceName")
	var held jdf.Node
	for c := range n.Children() {
		if c.Has("Class") && !foreign(c.Space()) {
			held, kind = c, c.Local()
		}
	}
	name, why := x.rises.nameOf(kind)
	if why != "" {
		name = kind
	}
	if name != "" {
		set.e.set("Name", name)
	}
	if !held.Valid() {
		return held
	}
	spec := &frame{e: &elem{local: name}, up: res, owner: held}
	if e := x.to.Element(name); why == "" && e != nil {
		spec.t, spec.s = e.Type(), x.sectionOf(kind, name)
		res.e.kids = append(res.e.kids, spec.e)
	} else {
		spec.t = x.to.Type("SpecificResource")
		spec.e = &elem{local: name}
	}
	x.mark(res.e, held, "a Resource holds it there")
	x.fill(held, spec, nil)
	return held
}
