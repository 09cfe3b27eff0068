package plant

import (
	"math"
	"strconv"
	"strings"

	"github.com/shopspring/decimal"

	"quoin/jdf/value"
)

// Length is a whole number of micrometres, so that sums and divisions of
// formats are exact.
type Length int64

// Millimetre and the other lengths are in the unit of Length.
const (
	Micrometre Length = 1
	Millimetre Length = 1000
)

// Slack is how far a length of a ticket may be over a limit and still count as
// equal: tickets give points, often rounded to two decimals.
const Slack = 50 * Micrometre

// FromTicket turns points of a ticket into micrometres, to the nearest. A
// length beyond a kilometre, infinity among them, counts as a kilometre, so
// that sums stay in range; what is not a number counts as zero.
func FromTicket(l value.Length) Length {
	const kilometre = 1e9
	um := math.Round(l.MM() * float64(Millimetre))
	if math.IsNaN(um) {
		return 0
	}
	return Length(min(max(um, -kilometre), kilometre))
}

// Ticket turns the length into points.
func (l Length) Ticket() value.Length { return value.FromMM(float64(l) / float64(Millimetre)) }

// String writes millimetres, as in "297 mm" or "0.12 mm".
func (l Length) String() string { return l.number() + " mm" }

func (l Length) number() string {
	s := strconv.FormatFloat(float64(l)/float64(Millimetre), 'f', 3, 64)
	return strings.TrimRight(strings.TrimRight(s, "0"), ".")
}

// Size is a width and a height.
type Size struct{ Width, Height Length }

// String writes "750 x 530 mm".
func (s Size) String() string { return s.Width.number() + " x " + s.Height.number() + " mm" }

// Turned is the size with its sides swapped.
func (s Size) Turned() Size { return Size{s.Height, s.Width} }

// Fits reports whether s lies within the other size as it stands, with Slack.
func (s Size) Fits(in Size) bool {
	return s.Width <= in.Width+Slack && s.Height <= in.Height+Slack
}

// Look finds the value of a table of steps for an input. An empty table gives zero.
func Look(table []Step, input decimal.Decimal) decimal.Decimal {
	for _, s := range table {
		if s.UpTo.IsZero() || input.LessThanOrEqual(s.UpTo) {
			return s.Value
		}
	}
	if len(table) == 0 {
		return decimal.Zero
	}
	return table[len(table)-1].Value
}
