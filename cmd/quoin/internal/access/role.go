package access

import "slices"

// Role is what a partner may do.
type Role string

// The roles. Admin includes all others; Operator includes Reader.
const (
	Sender   Role = "sender"   // sends tickets and messages about their own
	Device   Role = "device"   // sends signals and returns tickets
	Operator Role = "operator" // decides at the board: plan, release, retry, acknowledge
	Reader   Role = "reader"   // looks at everything
	Admin    Role = "admin"
)

// Roles lists the roles.
func Roles() []Role { return []Role{Sender, Device, Operator, Reader, Admin} }

// Partner is somebody who sends or asks: an MIS, a device, a person.
type Partner struct {
	Name  string
	Roles []Role
	Rate  Rate // how often it may ask

	// Return are the addresses that answers and returned tickets may go to, beside
	// the hosts of the allow-list that is common to all. For the delivery side.
	Return []string

	secret      [32]byte // SHA-256 of the token
	hasToken    bool
	certificate string // SHA-256 of the certificate in hexadecimal, or ""
}

// May reports whether the partner has one of the roles.
func (p *Partner) May(roles ...Role) bool {
	if p == nil {
		return false
	}
	for _, r := range roles {
		if slices.Contains(p.Roles, r) || slices.Contains(p.Roles, Admin) ||
			r == Reader && slices.Contains(p.Roles, Operator) {
			return true
		}
	}
	return false
}

// Rate is how often a partner may ask: so many requests a second on average, and
// so many at once.
type Rate struct {
	Second float64
	Burst  int
}

// DefaultRate is that of partners without one of their own.
var DefaultRate = Rate{Second: 50, Burst: 200}
