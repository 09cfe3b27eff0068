package compose

import (
	"crypto/rand"
	"fmt"
	"time"

	"github.com/beevik/etree"

	"quoin/jdf"
	"quoin/jdf/message"
	"quoin/schemas"
)

// Options say who writes, and in which generation.
type Options struct {
	// Version of the standard: 1.x writes JMF, 2.x XJMF. The zero Version is jdf.LastXJDF.
	Version jdf.Version

	// Sender is the SenderID of JMF and the DeviceID of XJMF. Default "Quoin".
	Sender string

	// Receiver is the DeviceID of JMF: who it is for. Default "", which leaves it out.
	Receiver string

	// Agent and AgentVersion name the program. Default "Quoin" and "".
	Agent, AgentVersion string

	// Clock gives the time of the document. Default time.Now.
	Clock func() time.Time

	// NewID makes IDs that are unique for the sender; they are NCNames. The
	// default makes random ones.
	NewID func() string
}

// Envelope is a document in the making. It is not safe for concurrent use.
type Envelope struct {
	opt  Options
	at   time.Time
	doc  *etree.Document
	root *etree.Element
}

// New begins a document.
func New(opt Options) *Envelope {
	if opt.Version == (jdf.Version{}) {
		opt.Version = jdf.LastXJDF
	}
	if opt.Sender == "" {
		opt.Sender = "Quoin"
	}
	if opt.Agent == "" {
		opt.Agent = "Quoin"
	}
	if opt.Clock == nil {
		opt.Clock = time.Now
	}
	if opt.NewID == nil {
		opt.NewID = newID
	}
	e := &Envelope{opt: opt, at: opt.Clock(), doc: etree.NewDocument()}
	e.doc.CreateProcInst("xml", `version="1.0" encoding="UTF-8"`)
	if e.first() {
		e.root = e.doc.CreateElement("JMF")
		e.root.CreateAttr("xmlns", jdf.NamespaceJDF)
		e.root.CreateAttr("xmlns:xsi", jdf.NamespaceXSI)
		e.set(e.root, 0, "Version", opt.Version.String())
		e.set(e.root, 0, "SenderID", opt.Sender)
		e.set(e.root, 0, "DeviceID", opt.Receiver)
		e.set(e.root, 0, "TimeStamp", moment(e.at))
		e.set(e.root, 4, "AgentName", opt.Agent)
		e.set(e.root, 4, "AgentVersion", opt.AgentVersion)
		return e
	}
	e.root = e.doc.CreateElement("XJMF")
	e.root.CreateAttr("xmlns", jdf.NamespaceXJDF)
	e.set(e.root, 0, "Version", opt.Version.String())
	e.header(e.root, opt.NewID(), "", "", e.at)
	return e
}

// newID gives at least 128 random bits as an NCName.
func newID() string { return "Q" + rand.Text() }

// first reports whether the document is JMF.
func (e *Envelope) first() bool { return e.opt.Version.Major < 2 }

// Empty reports whether the document holds no message yet.
func (e *Envelope) Empty() bool {
	for _, c := range e.root.ChildElements() {
		if c.Tag != "Header" {
			return false
		}
	}
	return true
}

// Kind is jdf.KindJMF or jdf.KindXJMF.
func (e *Envelope) Kind() jdf.Kind {
	if e.first() {
		return jdf.KindJMF
	}
	return jdf.KindXJMF
}

// MediaType is the registered media type of the document.
func (e *Envelope) MediaType() string { return MediaType(e.Kind()) }

// MediaType is the registered media type of a kind of document, "" for none.
//
// Source: IANA media type registry.
func MediaType(k jdf.Kind) string {
	switch k {
	case jdf.KindJDF:
		return "application/vnd.cip4-jdf+xml"
	case jdf.KindJMF:
		return "application/vnd.cip4-jmf+xml"
	case jdf.KindXJDF:
		return "application/vnd.cip4-xjdf+xml"
	case jdf.KindXJMF:
		return "application/vnd.cip4-xjmf+xml"
	}
	return ""
}

// Bytes is the document, indented, in UTF-8. The error is that of the writer of
// XML, and never comes of what was said.
func (e *Envelope) Bytes() ([]byte, error) {
	e.doc.Indent(2)
	out, err := e.doc.WriteToBytes()
	if err != nil {
		return nil, fmt.Errorf("write %s: %w", e.Kind(), err)
	}
	return out, nil
}

// header writes the Header of XJMF.
func (e *Envelope) header(to *etree.Element, id, refID, device string, at time.Time) *etree.Element {
	h := to.CreateElement("Header")
	if device == "" {
		device = e.opt.Sender
	}
	e.set(h, 0, "AgentName", e.opt.Agent)
	e.set(h, 0, "AgentVersion", e.opt.AgentVersion)
	e.token(h, "DeviceID", device)
	e.set(h, 0, "ID", id)
	e.reference(h, refID)
	e.set(h, 0, "Time", moment(at))
	return h
}

// about is what the head of a message says.
type about struct {
	family message.Family
	kind   string // Type
	refID  string
	device string    // who it is about, when that is not the sender
	at     time.Time // zero is the time of the document
}

// message begins a message and gives it with its ID.
func (e *Envelope) message(a about) (*etree.Element, string) {
	id := e.opt.NewID()
	at := a.at
	if at.IsZero() {
		at = e.at
	}
	if !e.first() {
		m := e.root.CreateElement(string(a.family) + a.kind)
		e.header(m, id, a.refID, a.device, at)
		return m, id
	}
	m := e.root.CreateElement(string(a.family))
	// The type that the schema has for this query has no place for a
	// Subscription, which is what it is for; its base type has.
	plain := a.family == message.Query && a.kind == "Notification"
	if name := string(a.family) + a.kind; !plain && schemas.JDF().Type(name) != nil {
		m.CreateAttr("xsi:type", name)
	}
	e.set(m, 0, "ID", id)
	m.CreateAttr("Type", nmtoken(a.kind))
	e.reference(m, a.refID)
	if !at.Equal(e.at) {
		e.set(m, 0, "Time", moment(at))
	}
	return m, id
}

// reference writes refID. One that is no NMTOKEN can not be written.
func (e *Envelope) reference(to *etree.Element, refID string) {
	if refID != "" && nmtoken(refID) == refID {
		to.CreateAttr("refID", refID)
	}
}
