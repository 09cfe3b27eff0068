package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/beevik/etree"

	"quoin/cmd/quoin/internal/rehearsal"
	"quoin/jdf/job"
)

// Signal is one message of a machine on its way.
type Signal struct {
	Device string
	ID     string
	At     time.Time
	Type   string // Status, Resource or Notification
	node   *etree.Element
}

// Every is how far apart two signals of one phase are.
const Every = 20 * time.Minute

// Signals are what a machine says while it plays an act: as each phase begins,
// on its way with counters that grow, as it ends, and when the job is over. The
// ids are made of the job, part and device, and are the same each time.
func Signals(a *rehearsal.Act, c Channel, ref string) []Signal {
	s := &speaker{act: a, channel: c, ref: ref}
	for _, p := range phases(a) {
		s.phase(p)
	}
	if a.Ended == "Suspended" {
		s.phase(rehearsal.Phase{State: job.StateOff, Start: a.End()})
		return s.all
	}
	s.done()
	if !c.Tickets {
		for _, u := range a.Uses {
			s.used(u)
		}
	}
	return s.all
}

type speaker struct {
	act     *rehearsal.Act
	channel Channel
	ref     string
	all     []Signal
	good    int // before the phase
	waste   int
}

// say begins a signal.
func (s *speaker) say(kind string, at time.Time) *etree.Element {
	return s.sayAs(fmt.Sprintf("s%d", len(s.all)+1), kind, at)
}

func (s *speaker) sayAs(id, kind string, at time.Time) *etree.Element {
	id = identify(s.act) + "-" + id
	e := signal(s.channel, kind, id, at, s.act.Operator, s.ref)
	s.all = append(s.all, Signal{s.act.Device, id, at, kind, e})
	return e
}

// signal makes the element of a signal.
func signal(c Channel, kind, id string, at time.Time, worker, ref string) *etree.Element {
	if c.Speaks == Second {
		e := etree.NewElement("Signal" + kind)
		header(e, c.Device, id, at, worker, ref)
		return e
	}
	return set(etree.NewElement("Signal"), "ID", id, "Type", kind, "xsi:type", "Signal"+kind,
		"Time", stamp(at), "refID", ref)
}

func (s *speaker) phase(p rehearsal.Phase) {
	if p.State == job.StateOff {
		// The end of a shift: said once, with the end of the phase before.
		s.status(p, p.Start, 0, 0)
		return
	}
	s.status(p, p.Start, 0, 0)
	for at := p.Start.Add(Every); at.Before(p.End); at = at.Add(Every) {
		share := float64(at.Sub(p.Start)) / float64(p.Length())
		s.status(p, at, int(float64(p.Good)*share), int(float64(p.Waste)*share))
	}
	s.status(p, p.End, p.Good, p.Waste)
	s.good, s.waste = s.good+p.Good, s.waste+p.Waste
}

// status says how a phase stands.
func (s *speaker) status(p rehearsal.Phase, at time.Time, good, waste int) {
	e := s.say("Status", at)
	device := s.channel.Speaks.DeviceStatus(p.State)
	if s.channel.Speaks == Second {
		info := child(e, "DeviceInfo", "Status", device, "StatusDetails", p.Reason)
		jobPhase(info, s.act, p, at, good, waste)
		return
	}
	info := s.first(e, device, p.Reason)
	phase := child(info, "JobPhase", "JobID", s.act.Job, "JobPartID", s.act.Part,
		"PhaseStartTime", stamp(p.Start), "QueueEntryID", s.act.QueueID, "Status", NodeStatus(p.State),
		"StatusDetails", p.Reason)
	if s.channel.Running {
		set(phase, "Amount", number(s.good+good), "Waste", number(s.waste+waste))
		return
	}
	set(phase, "PhaseAmount", number(good), "PhaseWaste", number(waste))
}

// first is the device information of JMF.
func (s *speaker) first(e *etree.Element, status, reason string) *etree.Element {
	child(e, "StatusQuParams", "JobID", s.act.Job, "JobPartID", s.act.Part)
	info := child(e, "DeviceInfo", "DeviceID", s.act.Device, "DeviceStatus", status, "StatusDetails", reason)
	child(info, "Employee", "Class", "Implementation", "PersonalID", s.act.Operator)
	return info
}

// done says that the job is over.
func (s *speaker) done() {
	end := rehearsal.Phase{State: job.StateDone, Start: s.act.End(), End: s.act.End()}
	e := s.sayAs("end", "Status", end.End) // a suspended act may end yet, without another word before
	if s.channel.Speaks == Second {
		info := child(e, "DeviceInfo", "Status", Second.DeviceStatus(end.State))
		child(info, "JobPhase", "EndTime", stamp(end.End), "JobID", s.act.Job, "JobPartID", s.act.Part,
			"QueueEntryID", s.act.QueueID, "StartTime", stamp(end.End), "Status", ended(s.act))
		return
	}
	child(s.first(e, "Idle", ""), "JobPhase", "JobID", s.act.Job, "JobPartID", s.act.Part,
		"PhaseStartTime", stamp(end.End), "QueueEntryID", s.act.QueueID, "Status", ended(s.act))
}

// used says what was used of a material.
func (s *speaker) used(u rehearsal.Use) {
	e := s.say("Resource", s.act.End())
	if s.channel.Speaks == Second {
		resourceInfo(e, s.act, u)
		return
	}
	child(e, "ResourceQuParams", "JobID", s.act.Job, "JobPartID", s.act.Part)
	info := child(e, "ResourceInfo", "ResourceName", u.Kind, "Scope", "Job", "Unit", u.Unit, "Usage", u.Usage)
	amounts(info, u.Good.String(), counted(u.Waste), u.Lot)
}

// Idle is what a machine says that has nothing to do, and at its end when the
// shift is over.
func Idle(c Channel, i rehearsal.Idle, shiftEnds bool, ref string) []Signal {
	id := "r" + c.Device + "-idle-" + i.Start.UTC().Format("20060102T150405")
	say := func(id string, at time.Time, pairs ...string) Signal {
		e := signal(c, "Status", id, at, "", ref)
		child(e, "DeviceInfo", pairs...)
		return Signal{c.Device, id, at, "Status", e}
	}
	all := []Signal{say(id, i.Start, "IdleStartTime", stamp(i.Start), "Status", "Idle")}
	if shiftEnds {
		all = append(all, say(id+"-off", i.End, "Status", "Offline"))
	}
	return all
}

// Envelope puts signals of one machine into one message.
func Envelope(c Channel, id string, at time.Time, all []Signal) *etree.Document {
	doc := etree.NewDocument()
	doc.CreateProcInst("xml", `version="1.0" encoding="UTF-8"`)
	var root *etree.Element
	if c.Speaks == Second {
		root = set(doc.CreateElement("XJMF"), "xmlns", Second.namespace(), "Version", "2.2")
		header(root, c.Device, id, at, "", "")
	} else {
		root = set(doc.CreateElement("JMF"), "xmlns", First.namespace(), "xmlns:xsi",
			"http://www.w3.org/2001/XMLSchema-instance", "SenderID", c.Device, "TimeStamp", stamp(at), "Version", "1.6")
	}
	for _, s := range all {
		root.AddChild(s.node.Copy())
	}
	doc.Indent(2)
	return doc
}

// Sort puts signals in the order in which they were said.
func Sort(all []Signal) {
	slices.SortStableFunc(all, func(a, b Signal) int {
		return cmp.Or(a.At.Compare(b.At), strings.Compare(a.Device, b.Device))
	})
}
