package plant

import (
	"time"

	"github.com/shopspring/decimal"
)

// DieCutter is a platen that cuts and creases sheets with a die.
type DieCutter struct {
	Machine
	MinSheet, MaxSheet Size
	Gripper            Length // unprinted leading edge that it needs, 0 for none
	Grammage           Range  // g/m2
	Caliper            Range  // micrometres
	Speed              []Step // sheets an hour, by grammage in g/m2
	Setup              time.Duration
	DiePrice           decimal.Decimal // of a new die, each
	Spoilage           Spoilage
}

// Laminator lays a film on printed sheets.
type Laminator struct {
	Machine
	MinWidth, MaxWidth Length   // of the sheet across the run; MinWidth 0 when not stated
	Grammage           Range    // g/m2
	Films              []string // gloss, matt, soft touch
	BothSides          bool     // in one pass
	Speed              Pace
	Setup              time.Duration
	FilmPrice          decimal.Decimal // a square metre
	Spoilage           Spoilage
}

// Pace is a speed in either of two measures; the other is zero.
type Pace struct {
	Metres decimal.Decimal // a minute
	Sheets decimal.Decimal // an hour
}

// SheetsAnHour is the pace for sheets that are so long along the run, to four
// decimals rounded down. A length of zero with a pace in metres gives zero.
func (p Pace) SheetsAnHour(along Length) decimal.Decimal {
	if p.Sheets.IsPositive() || along <= 0 {
		return p.Sheets
	}
	micrometres := p.Metres.Mul(decimal.NewFromInt(60 * 1_000_000))
	return micrometres.Div(decimal.NewFromInt(int64(along))).RoundDown(4)
}

// Coater lays coatings on printed sheets, in a machine of its own.
type Coater struct {
	Machine
	MinSheet, MaxSheet Size
	Grammage           Range    // g/m2
	Coatings           []string // aqueous, UV, varnish
	Dryers             []string // IR, UV, hot air
	Speed              []Step   // sheets an hour, by grammage in g/m2
	Setup              time.Duration
	DryingTime         time.Duration   // before the sheets can go on
	CoatingFilm        decimal.Decimal // g/m2, wet, of a full coating
	CoatingPrice       decimal.Decimal // a kilogram; zero when the file leaves it to Plant.Inks
	Spoilage           Spoilage
}

// HandWork is a task that people do without a machine.
type HandWork struct {
	Machine                   // ID and Name of the place or the task
	Task        string        // a process or a binding of the standard, such as Inserting or HardCover
	PerThousand time.Duration // for 1000 pieces
	Setup       time.Duration
}

// Score is the grammages in g/m2 from which a fold is to be creased before, by
// how it lies to the grain. Zero means that none has to be.
type Score struct{ Along, Across float64 }

// Pallet is what goods are delivered on.
type Pallet struct {
	Size      Size
	MaxHeight Length          // of the goods, without the pallet
	MaxWeight decimal.Decimal // kilograms, of goods and pallet together
	Tare      decimal.Decimal // kilograms, of the pallet
}

// InkKind is what an ink or a coating is.
type InkKind string

// The kinds of ink; the coatings are in the words of Press.Coatings.
const (
	ProcessInk     InkKind = "process"
	SpecialInk     InkKind = "special"
	AqueousCoating InkKind = "aqueous"
	UVCoating      InkKind = "UV"
	VarnishCoating InkKind = "varnish"
)

// Ink is an ink or a coating that can be had. Press.InkPrice and the like hold
// for those that are not listed.
type Ink struct {
	Mark
	ID, Name string // Name is that of the separation in tickets; the ID where it is ""
	Kind     InkKind
	Price    decimal.Decimal // a kilogram
	Film     []StockFilm     // of a solid, by coating of the stock
}

// StockFilm is how much of an ink lies on a sort of paper.
type StockFilm struct {
	Coating string          // of the stock: none, gloss, silk, matt
	Film    decimal.Decimal // g/m2 of a solid
}

// FilmOn is the film on a stock with the coating, false when the ink states none.
func (i *Ink) FilmOn(coating string) (decimal.Decimal, bool) {
	for _, f := range i.Film {
		if f.Coating == coating {
			return f.Film, true
		}
	}
	return decimal.Zero, false
}

// PriceOfCoating is what a kilogram of a kind of coating costs on a machine
// beside the presses: its own price, else that of the first coating of the kind
// under Inks; false when neither is given.
func (p *Plant) PriceOfCoating(m *Coater, kind string) (decimal.Decimal, bool) {
	if _, given := m.Keys["coating price"]; given || m.CoatingPrice.IsPositive() {
		return m.CoatingPrice, true
	}
	for _, i := range p.Inks {
		if string(i.Kind) == kind {
			return i.Price, true
		}
	}
	return decimal.Zero, false
}
