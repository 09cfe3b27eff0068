package convert

import (
	"strconv"
	"strings"

	"quoin/jdf"
)

// firstPage turns the first page of a run of the 1.x generation into the range
// of pages that the 2.x generation gives. Pages are counted from 0 in both.
func (x *riser) firstPage(a jdf.Attr, at int32, f *frame) bool {
	n := a.Owner()
	first, err := strconv.Atoi(a.Value())
	if err != nil || f.e.local != "RunList" || n.Has("Pages") || n.Has("SkipPage") || f.e.has("Pages") {
		return false
	}
	last := -1 // the last page, as a range counts from the end
	if count, err := strconv.Atoi(n.Get("NPage")); err == nil && count > 0 {
		last = first + count - 1
	}
	f.e.attrs = append(f.e.attrs, attr{name: "Pages", value: itoa(first) + " " + itoa(last), slot: at})
	x.led.keep(at, "is RunList/@Pages there")
	return true
}

// plateMedia gives exposed media a medium that nothing is known of where the
// source names none: the 2.x generation does not take it without.
func (x *riser) plateMedia(t *ticket, h home) {
	if h.spec.e.local != "ExposedMedia" || h.spec.e.has("MediaRef") {
		return
	}
	id := t.unknownMedia
	if id == "" {
		id = x.token("unknown_media", true)
		for t.names[id] > 0 {
			id += "_"
		}
		t.names[id]++
		t.unknownMedia = id
		set := x.open(t.f, "ResourceSet", jdf.Node{})
		set.e.set("Name", "Media")
		set.e.add("Resource").set("ID", id).add("Media").set("MediaType", "Other")
	}
	h.spec.e.set("MediaRef", id)
}

// addressLine writes the lines of an address as the one extended address that
// an address in place has in the 1.x generation.
func (x *lowerer) addressLine(n jdf.Node, f *frame) bool {
	if x.typeOf(f.t, "AddressLine") != nil || n.Parent().Has("ExtendedAddress") {
		return false
	}
	const why = "is a part of ExtendedAddress there"
	e := f.e.child("ExtendedAddress")
	if e == nil {
		e = f.e.add("ExtendedAddress")
	} else {
		e.text += ", "
	}
	x.mark(e, n, why)
	for p := range n.Content() {
		if p.Kind() == jdf.KindText || p.Kind() == jdf.KindCDATA {
			e.text += strings.TrimSpace(p.Text())
			e.slots = append(e.slots, x.led.of(p))
			x.led.keep(x.led.of(p), why)
		}
	}
	return true
}

// entryOf writes the queue entry of an answer into the queue that the 1.x
// generation tells it in.
func (x *messenger) entryOf(n jdf.Node, f *frame) bool {
	if x.typeOf(f.t, "QueueEntry") != nil || x.typeOf(f.t, "Queue") == nil {
		return false
	}
	g := f.made["Queue"]
	if g == nil {
		g = x.open(f, "Queue", jdf.Node{})
		x.nameQueue(g, n.Parent(), n)
		f.made = map[string]*frame{"Queue": g}
	}
	h := x.open(g, "QueueEntry", n)
	x.fill(n, h, nil)
	return true
}

// queueOf writes a queue with the device and the status that the 1.x
// generation asks of every queue.
func (x *messenger) queueOf(n jdf.Node, f *frame) bool {
	if x.typeOf(f.t, "Queue") == nil {
		return false
	}
	g := x.open(f, "Queue", n)
	var entries []jdf.Node
	for c := range n.ChildrenNamed("QueueEntry") {
		entries = append(entries, c)
	}
	x.nameQueue(g, n.Parent(), entries...)
	x.fill(n, g, nil)
	return true
}

// nameQueue writes whose queue it is and whether it runs. Whether it is open or
// held the 2.x generation does not tell; a queue with an entry that runs is
// running, and any other waits.
//
// Source: the published JDF schema, Queue, of which both are required.
func (x *messenger) nameQueue(g *frame, message jdf.Node, entries ...jdf.Node) {
	status := "Waiting"
	for _, n := range entries {
		if word, ok := x.table.word("queue status", n.Get("Status"), false); ok && word == "Running" {
			status = "Running"
		}
	}
	device := firstOf(message.Child("Header").Get("DeviceID"), message.Parent().Child("Header").Get("DeviceID"))
	g.e.set("DeviceID", firstOf(device, "unknown")).set("Status", status)
}

// entriesOf writes the entries of the queue that an answer tells, where the 2.x
// generation answers with the entry alone.
func (x *messenger) entriesOf(n jdf.Node, f *frame) bool {
	if x.typeOf(f.t, "Queue") != nil || x.typeOf(f.t, "QueueEntry") == nil {
		return false
	}
	x.mark(f.e, n, "the answer holds the entry itself there")
	for c := range n.Content() {
		if c.Is("QueueEntry") {
			x.fill(c, x.open(f, "QueueEntry", c), nil)
			continue
		}
		x.led.loseAll(c, "the answer holds the entry alone there")
	}
	at := x.led.of(n)
	for range n.Attrs() {
		at++
		x.led.lose(at, "the answer holds the entry alone there")
	}
	return true
}
