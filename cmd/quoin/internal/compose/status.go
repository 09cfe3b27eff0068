package compose

import (
	"github.com/beevik/etree"

	"quoin/jdf/message"
)

// SignalStatus writes a Status signal: what a device is doing. The refID is the
// ID of the query that subscribed to it, "" when nobody did.
func (e *Envelope) SignalStatus(refID string, s DeviceState) string {
	m, id := e.message(about{family: message.Signal, kind: "Status", refID: refID, device: s.Device})
	if e.first() {
		m.CreateElement("StatusQuParams") // the schema wants one
	}
	e.deviceInfo(m, s)
	return id
}

// firstStates turns the words of XJDF for what a device does into those of JMF.
//
// Source: JDF schema, eDeviceStatus_; XJDF schema, DeviceStatus. From memory: which match.
var firstStates = map[string]string{
	"Idle": "Idle", "Setup": "Setup", "Production": "Running", "Cleanup": "Cleanup", "Stopped": "Stopped",
	"NonProductive": "Stopped", "Offline": "Down", "": "Unknown",
}

// state is the word of the generation for what a device does.
func (e *Envelope) state(word string) string {
	first, known := firstStates[word]
	switch {
	case e.first() && known:
		return first
	case e.first():
		return "Unknown"
	case word == "" || !known:
		return "Offline"
	}
	return word
}

func (e *Envelope) deviceInfo(to *etree.Element, s DeviceState) {
	d := to.CreateElement("DeviceInfo")
	e.set(d, 0, "CounterUnit", s.CounterUnit)
	if e.first() {
		e.set(d, 3, "DeviceID", s.Device)
		e.set(d, 0, "DeviceStatus", e.state(s.State))
	}
	e.time(d, 7, "EndTime", s.End)
	if s.State == "Idle" {
		e.time(d, 4, "IdleStartTime", s.IdleSince)
	}
	e.number(d, 0, "ProductionCounter", s.Counter)
	e.number(d, 0, "Speed", s.Speed)
	if !e.first() {
		e.set(d, 0, "Status", e.state(s.State))
	}
	e.token(d, "StatusDetails", s.Details)
	e.number(d, 0, "TotalProductionCounter", s.TotalCounter)
	switch {
	case s.Operator == "":
	case e.first():
		d.CreateElement("Employee").CreateAttr("PersonalID", s.Operator)
	default:
		d.CreateElement("Activity").CreateAttr("PersonalID", nmtoken(s.Operator))
	}
	for _, p := range s.Phases {
		e.jobPhase(d, p)
	}
	for _, m := range s.Modules {
		e.module(d, m)
	}
}

func (e *Envelope) module(to *etree.Element, m Module) {
	name, status := "ModuleInfo", "ModuleStatus"
	if e.first() {
		name, status = "ModuleStatus", "DeviceStatus"
	}
	el := to.CreateElement(name)
	e.token(el, "ModuleID", m.ID)
	el.CreateAttr(status, e.state(m.State))
	e.token(el, "ModuleType", m.Type)
	e.set(el, 0, "StatusDetails", m.Details)
}

func (e *Envelope) jobPhase(to *etree.Element, p Phase) {
	el := to.CreateElement("JobPhase")
	if e.first() {
		e.number(el, 0, "Amount", p.JobGood)
		e.number(el, 2, "PhaseAmount", p.Good)
		e.time(el, 2, "PhaseStartTime", p.Start)
		e.number(el, 2, "PhaseWaste", p.Waste)
		e.time(el, 1, "StartTime", p.JobStart)
		e.number(el, 1, "Waste", p.JobWaste)
	} else {
		e.number(el, 0, "Amount", p.Good)
		e.token(el, "CostCenterID", p.CostCentre)
		e.time(el, 0, "StartTime", p.Start)
		e.number(el, 0, "Waste", p.Waste)
	}
	e.time(el, 7, "EndTime", p.End)
	e.token(el, "JobID", p.JobID)
	e.token(el, "JobPartID", p.PartID)
	if e.first() || !p.Good.Valid || !p.Target.Valid {
		e.number(el, 0, "PercentCompleted", p.Percent)
	}
	e.token(el, "QueueEntryID", p.Entry)
	e.set(el, 0, "Status", p.State)
	e.token(el, "StatusDetails", p.Details)
	e.number(el, 1, "TotalAmount", p.Target)
	if e.first() && p.CostCentre != "" {
		el.CreateElement("CostCenter").CreateAttr("CostCenterID", p.CostCentre)
	}
	if p.WorkType != "" && (!e.first() || e.opt.Version.Minor >= 2) {
		el.CreateElement("MISDetails").CreateAttr("WorkType", p.WorkType)
	}
	e.part(el, p.Part)
}
