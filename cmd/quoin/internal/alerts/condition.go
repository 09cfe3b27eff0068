package alerts

// Level is how bad something is.
type Level uint8

// The levels. Near is under the limit, but not by enough to call it past.
const (
	Past Level = iota
	Near
	Over
)

// Condition is something that was looked at and may be worth an alert. What is Past
// need not be listed.
type Condition struct {
	Kind     string // see plant.AlertKinds
	Key      string // what it is about
	Level    Level
	Severity string // note, warning or error
	Text     string // for people: what is wrong, by how much
	Ticket   int64  // 0 for none
	Device   string
}
