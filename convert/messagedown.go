package convert

import (
	"strings"

	"quoin/jdf"
)

// families of the 2.x generation, as the names of messages begin.
var families = []string{"Query", "Command", "Signal", "Response"}

// lowerAll converts XJMF into JMF.
func (x *messenger) lowerAll() {
	n := x.doc.Root()
	at := x.led.of(n)
	for a := range n.Attrs() {
		at++
		if a.Local() == "Version" && a.Name().Space == "" {
			x.led.keep(at, "the generations have versions of their own")
			continue
		}
		x.attribute(a, at, x.root, &trie{}, true)
	}
	x.root.e.set("Version", x.opt.Version.String())
	head := n.Child("Header")
	if head.Valid() {
		x.mark(x.root.e, head, "the header is written as attributes there")
		x.root.s, x.root.owner = x.sectionOf("Header", "JMF"), head
		x.fill(head, x.root, func(local string) bool {
			if local == "@ID" || local == "@refID" {
				x.led.lose(x.led.attr(head, local[1:]), "only messages have an ID there, not the document")
				return true
			}
			return false
		})
	}
	if !x.root.e.has("TimeStamp") {
		x.root.e.set("TimeStamp", x.opt.Clock().UTC().Format("2006-01-02T15:04:05Z"))
	}
	for c := range n.Content() {
		switch {
		case c == head:
		case c.Kind() != jdf.KindElement:
			x.led.loseAll(c, remarkLost)
		case c.Space() == jdf.NamespaceJDF, foreign(c.Space()):
			// A message of the 1.x generation that was carried in its own namespace comes home.
			x.root.e.kids = append(x.root.e.kids, x.copyForeign(c))
		default:
			x.lower(c, head)
		}
	}
}

// kindOfMessage takes the name of a message apart.
func kindOfMessage(name string) (family, kind string) {
	for _, f := range families {
		if rest, ok := strings.CutPrefix(name, f); ok {
			return f, rest
		}
	}
	return "", ""
}

// lower converts one message, or carries it as it stands where the other
// generation has no such message.
func (x *messenger) lower(n, around jdf.Node) {
	family, kind := kindOfMessage(n.Local())
	operation := firstOf(n.Child("ModifyQueueEntryParams").Get("Operation"), n.Child("PipeParams").Get("Operation"))
	switch {
	case operation != "":
		kind, _ = x.table.word("operation", operation, false)
	case kind == "ModifyQueueEntry" || kind == "PipeControl":
		kind = answered[kind]
	}
	if family == "" || kind == "" || x.to.Type(family+kind) == nil {
		x.root.e.kids = append(x.root.e.kids, x.copyForeign(n))
		return
	}
	f := x.open(x.root, family, jdf.Node{})
	f.t = x.to.Type(family + kind)
	f.s, f.owner = x.sectionOf("Message", "Message"), n
	f.e.set("Type", kind)
	if family+kind == "CommandSuspendQueueEntry" {
		f.e.nameType(family + kind)
	}
	x.mark(f.e, n, x.say("is a ", family, " of the type ", kind, " there"))
	x.headOf(f, n, around)
	x.fill(n, f, func(local string) bool { return local == "Header" || local == "ModifyQueueEntryParams" })
	if p := n.Child("ModifyQueueEntryParams"); p.Valid() {
		x.queueCommand(f, p, kind)
	}
	if !f.e.has("ID") {
		f.e.set("ID", x.freshID())
	}
	if family+kind == "ResponseStatus" && f.e.child("DeviceInfo") == nil {
		f.e.add("DeviceInfo").set("DeviceStatus", "Unknown") // an answer must tell of a device there
	}
}

// answered is the type of an answer to a command whose operation it does not
// repeat. The command is not at hand, so one of the types that the operation may
// have stands for all; refID tells the receiver which command it is about.
var answered = map[string]string{"PipeControl": "PipePush", "ModifyQueueEntry": "HoldQueueEntry"}

func (x *messenger) freshID() string {
	for i := 1; ; i++ {
		id := "m" + itoa(i)
		if !x.names[id] {
			x.names[id] = true
			return id
		}
	}
}

// headOf writes the header of a message as attributes; what the document says
// already need not be repeated.
func (x *messenger) headOf(f *frame, n, around jdf.Node) {
	h := n.Child("Header")
	if !h.Valid() {
		return
	}
	x.mark(f.e, h, "the header is written as attributes there")
	g := &frame{e: f.e, t: f.t, s: x.sectionOf("Header", "MessageHead"), owner: h}
	if id := h.Get("ID"); id != "" {
		x.names[id] = true
	}
	x.fill(h, g, func(local string) bool {
		name := strings.TrimPrefix(local, "@")
		if local[0] == '@' && around.Has(name) && around.Get(name) == h.Get(name) && name != "ID" && name != "refID" {
			at := x.led.attr(h, name)
			f.e.slots = append(f.e.slots, at)
			x.led.keep(at, "the document says it for all its messages")
			return true
		}
		return false
	})
}

// queueCommand writes what a command does to queue entries.
func (x *messenger) queueCommand(f *frame, p jdf.Node, kind string) {
	x.mark(f.e, p, x.say("the type ", kind, " says it there"))
	at := x.led.attr(p, "Operation")
	f.e.slots = append(f.e.slots, at)
	x.led.keep(at, x.say("the type ", kind, " says it there"))
	if kind == "SetQueueEntryPosition" {
		x.move(f, p)
		return
	}
	g := x.open(f, kind+"Params", jdf.Node{})
	g.owner = p
	x.fill(p, g, func(local string) bool { return local == "@Operation" })
}

// move writes a new place or priority in the queue, for the one entry it names.
func (x *messenger) move(f *frame, p jdf.Node) {
	name := "QueueEntryPosParams"
	if p.Has("Priority") && !p.Has("Position") {
		name = "QueueEntryPriParams"
		f.e.set("Type", "SetQueueEntryPriority")
		f.t = x.to.Type("CommandSetQueueEntryPriority")
	}
	g := x.open(f, name, jdf.Node{})
	g.owner = p
	filter := p.Child("QueueFilter")
	if at := x.led.attr(filter, "QueueEntryIDs"); at != none {
		x.mark(g.e, filter, "one queue entry is named there")
		x.put(g, "QueueEntryID", strings.Fields(filter.Get("QueueEntryIDs"))[0], at, "one queue entry is named there")
	}
	x.fill(p, g, func(local string) bool { return local == "@Operation" || local == "QueueFilter" })
	x.led.loseAll(filter, "one queue entry is named there")
}

func (x *messenger) lowerHooks() {
	for _, family := range families {
		for _, kind := range []string{"Resource"} {
			x.hooks[family+kind+"/ResourceInfo"] = x.lowerResource
			x.hooks[family+kind+"/ResourceCmdParams"] = x.lowerResource
		}
	}
	x.hooks["ResponseModifyQueueEntry/QueueEntry"] = x.entryOf
	x.hooks["ResponseQueueStatus/Queue"] = x.queueOf
	x.hooks["SignalQueueStatus/Queue"] = x.queueOf
	x.hooks["ResponseKnownDevices/Device"] = x.lowerDevice
	x.hooks["SignalKnownDevices/Device"] = x.lowerDevice
	x.attrs["QueueEntry/@Status"] = x.lowerQueueStatus
	x.attrs["QueueFilter/@QueueEntryIDs"] = x.lowerEntries
}

// lowerDevice lists a known device; its state is not told.
func (x *messenger) lowerDevice(n jdf.Node, f *frame) bool {
	if f.made == nil {
		f.made = map[string]*frame{"DeviceList": x.open(f, "DeviceList", jdf.Node{})}
	}
	info := x.open(f.made["DeviceList"], "DeviceInfo", jdf.Node{})
	info.e.set("DeviceStatus", "Unknown")
	g := x.open(info, "Device", n)
	x.fill(n, g, nil)
	return true
}

// lowerQueueStatus writes the status of a queue entry; an entry that is held,
// or waits to be returned, has a status of its own.
func (x *messenger) lowerQueueStatus(a jdf.Attr, at int32, f *frame) bool {
	v, ok := x.table.word("queue status", a.Value(), false)
	if !ok {
		return false
	}
	switch activation := a.Owner().Get("Activation"); activation {
	case "Held", "PendingReturn", "Removed":
		v = activation
	}
	why := ""
	if v != a.Value() {
		why = "the words differ between the generations"
	}
	return x.put(f, "Status", v, at, why)
}

// lowerEntries names each queue entry of a filter.
func (x *messenger) lowerEntries(a jdf.Attr, at int32, f *frame) bool {
	for id := range strings.FieldsSeq(a.Value()) {
		g := x.open(f, "QueueEntryDef", jdf.Node{})
		x.put(g, "QueueEntryID", id, at, "is QueueEntryDef/@QueueEntryID there")
	}
	return true
}

// lowerResource writes each Resource that a message tells of.
func (x *messenger) lowerResource(n jdf.Node, f *frame) bool {
	for set := range n.ChildrenNamed("ResourceSet") {
		found := false
		for res := range set.ChildrenNamed("Resource") {
			x.oneResource(n, set, res, f)
			found = true
		}
		if !found {
			x.oneResource(n, set, jdf.Node{}, f)
		}
	}
	return true
}

func (x *messenger) oneResource(n, set, res jdf.Node, f *frame) {
	g := x.open(f, n.Local(), n)
	x.fill(n, g, func(local string) bool { return local == "ResourceSet" })
	x.mark(g.e, set, "is told in place there")
	at := x.led.of(set)
	for a := range set.Attrs() {
		at++
		name := a.Local()
		if name == "Name" {
			name = "ResourceName"
		}
		x.put(g, name, a.Value(), at, x.say("is ", g.e.local, "/@", name, " there"))
	}
	for c := range set.Content() {
		if !c.Is("Resource") {
			x.led.loseAll(c, "a message has no place for it there")
		}
	}
	if res.Valid() {
		x.mark(g.e, res, "is told in place there")
		x.resourceIn(g, set, res)
	}
}

// resourceIn writes one Resource: its name, its amounts and what it is.
func (x *messenger) resourceIn(g *frame, set, res jdf.Node) {
	kind, why := x.lowers.kindOf(set)
	spec := res.Child(set.Get("Name"))
	var h *frame
	if why == "" && spec.Valid() && x.typeOf(g.t, kind) != nil {
		h = x.open(g, kind, spec)
		h.e.set("ID", x.token(firstOf(res.Get("ID"), x.freshID()), true))
	}
	at := x.led.of(res)
	for a := range res.Attrs() {
		at++
		switch name := a.Local(); {
		case name == "ExternalID" && g.t.Attribute("ProductID") != nil:
			x.put(g, "ProductID", a.Value(), at, "is ResourceInfo/@ProductID there")
		case name == "ID" && h != nil:
			g.e.slots = append(g.e.slots, at)
			x.led.keep(at, "")
		case h != nil:
			x.attribute(a, at, h, x.sectionOf("Resource", "Resource").down, true)
		default:
			x.attribute(a, at, g, x.sectionOf("Resource", "Resource").down, true)
		}
	}
	for p := range res.Content() {
		switch {
		case p == spec && h != nil:
			x.fill(spec, h, nil)
		case p.Is("Part"):
			x.messagePart(g, p)
		case p.Is("AmountPool"):
			x.messageAmounts(g, p)
		case p.Is("Comment", "GeneralID"), foreign(p.Space()):
			x.child(p, g, &trie{}, true)
		default:
			x.led.loseAll(p, "a message has no place for it there")
		}
	}
}

func (x *messenger) messagePart(g *frame, p jdf.Node) {
	q := x.open(g, "Part", p)
	x.fill(p, q, nil)
}

// messageAmounts writes amounts; a single plain one is an attribute.
func (x *messenger) messageAmounts(g *frame, pool jdf.Node) {
	name := "ActualAmount"
	switch {
	case g.t.Attribute(name) == nil:
		name = "ProductionAmount"
	case g.owner.Get("Scope") == "Estimate":
		name = "Amount" // what is asked for, not what was counted
	}
	var all []jdf.Node
	for n := range pool.ChildrenNamed("PartAmount") {
		all = append(all, n)
	}
	if len(all) == 1 && !all[0].Has("Waste") && !all[0].Child("Part").Valid() && all[0].Has("Amount") {
		x.mark(g.e, pool, "the amount is told in place there")
		x.mark(g.e, all[0], "the amount is told in place there")
		x.put(g, name, all[0].Get("Amount"), x.led.attr(all[0], "Amount"), x.say("is ", g.e.local, "/@", name, " there"))
		x.led.loseAll(pool, "a message tells one amount there")
		return
	}
	h := x.open(g, "AmountPool", pool)
	for _, n := range all {
		x.lowers.usedAmount(h, jdf.Node{}, n)
	}
	x.led.loseAll(pool, "a message tells one amount of each part there")
}
