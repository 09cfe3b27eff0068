package job

import (
	"github.com/shopspring/decimal"

	"quoin/jdf"
	"quoin/jdf/value"
)

// AuditKind says what an audit tells of.
type AuditKind uint8

// The kinds of audit.
const (
	AuditOther    AuditKind = iota // created, modified, spawned, merged, …
	AuditPhase                     // a stretch of time of a device
	AuditRun                       // the whole run of a process
	AuditResource                  // what was consumed or made
	AuditNotice                    // an event
)

// Audit is one entry of an audit pool. Just one of Phase, Run, Consumption and
// Notice is set, by Kind. Status and Resource messages decode into the same.
type Audit struct {
	Node   jdf.Node
	Kind   AuditKind
	Name   string // element name, such as PhaseTime or AuditStatus
	ID     Fact[string]
	Time   Fact[value.DateTime] // TimeStamp, or Time of the header
	Device Fact[string]         // of the header: who says so
	JobID  Fact[string]         // of the entry, or of the ticket around it
	PartID Fact[string]

	Phase       *Phase
	Run         *Run
	Consumption *Consumption
	Notice      *Notice
}

// State is what a device or a job did during a phase, in the neutral terms of
// cost accounting.
type State uint8

// The states of a phase.
const (
	StateUnknown State = iota
	StateMakeready
	StateRun
	StateWash    // cleaning after a run
	StateIdle    // ready, nothing to do
	StateStopped // stopped or failed, with a reason in Details
	StateDone    // the job is over; no time runs
	StateOff     // the job waits elsewhere, or the device is switched off; no time runs
)

// String is the trade's word for the state.
func (s State) String() string {
	return [...]string{"unknown", "makeready", "run", "wash-up", "idle", "stopped", "done", "off"}[s]
}

// MarshalText writes the word of String, so that files keep it rather than a number.
func (s State) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// Timed reports whether a phase in the state takes up time of its device.
func (s State) Timed() bool { return s != StateDone && s != StateOff }

// Phase is a stretch of time in which a device did one thing for one job.
type Phase struct {
	Node       jdf.Node
	Device     Fact[string]
	CostCenter Fact[string]
	Employee   Fact[string]
	Modules    Fact[[]string]
	State      State
	Status     Fact[string] // as the ticket has it
	Details    Fact[string]
	Start      Fact[value.DateTime]
	End        Fact[value.DateTime] // not given while the phase runs
	Part       Part
	Work       Fact[string]          // WorkType: Original, Alteration or Rework
	Good       Fact[decimal.Decimal] // since the start of the phase
	Waste      Fact[decimal.Decimal]
	Total      Fact[decimal.Decimal] // good since the start of the job, where the standard has it apart
	TotalWaste Fact[decimal.Decimal]
}

// Run is a finished process.
type Run struct {
	Node       jdf.Node
	Start, End Fact[value.DateTime]
	Duration   Fact[value.Duration] // without pauses
	EndStatus  Fact[string]
	Part       Part
}

// Consumption is what was really used or made of a resource.
type Consumption struct {
	Identity
	Node    jdf.Node
	Kind    string // Media, Component, Ink, ExposedMedia, …
	Output  bool
	Usage   Fact[string]
	Scope   Fact[string] // of a message: Job when it is about a job, Present when about the stock
	Part    Part
	Lot     Fact[string]
	Amounts Amounts
	Planned Fact[decimal.Decimal]
}

// Notice is an event that was reported.
type Notice struct {
	Node  jdf.Node
	Class Fact[string]
	Text  Fact[string]
}
