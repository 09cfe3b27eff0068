package plant

import (
	"time"

	"github.com/shopspring/decimal"

	"quoin/jdf"
)

// Plant is what one works has, can do and charges. It is immutable once
// loaded, and safe for concurrent use.
type Plant struct {
	Source  *jdf.Source   // of the file, or of the first of a folder
	Sources []*jdf.Source // of all files, in name order

	Name      string
	Currency  string          // three letters, such as EUR
	Places    int32           // decimal places that money is rounded to, once, when shown
	Tolerance decimal.Decimal // accepted over- and under-delivery, percent
	Bleed     Length          // where the ticket gives none
	Gutter    Length          // between pieces that bleed, at least twice the bleed
	GrindOff  Length          // spine allowance of perfect binding

	Compounding Compounding     // how percentages of waste are to be read
	CreepFactor decimal.Decimal // times caliper and sheets, the push-out of saddle stitching
	Coverage    decimal.Decimal // mean ink coverage of a side by each colour where the ticket gives none, percent

	Zone     *time.Location // of shifts and holidays, UTC where the file states none; never nil once loaded
	Holidays []Day          // closed days, rising, each once

	Score  Score  // from which grammage a fold wants a crease; zero when not stated
	Pallet Pallet // that goods are delivered on; its Size is zero when not stated

	CostCentres []*CostCentre
	Presses     []*Press
	Guillotines []*Guillotine
	Folders     []*Folder
	Stitchers   []*Stitcher
	Binders     []*Binder
	DieCutters  []*DieCutter
	Laminators  []*Laminator
	Coaters     []*Coater
	HandWork    []*HandWork
	Stocks      []*Stock
	Inks        []*Ink

	Colour *Colour // what it prints to; nil when not stated
	Alerts *Alerts // when people are to be told; nil when not stated

	mark Mark // of the keys of the file itself
}

// Compounding says what a percentage of waste is a percentage of.
type Compounding string

// The two conventions: with Yield, 2 % means that input x 0.98 is good; with
// MarkUp, that output x 1.02 has to go in.
const (
	Yield  Compounding = "yield"
	MarkUp Compounding = "mark-up"
)

// Mark is where an entry, or one key of it, stands in the plant file.
type Mark struct {
	Entry jdf.Place
	Keys  map[string]jdf.Place // by the key as written, such as "max sheet"
}

// At is the place of a key, or of the entry when it has no such key.
func (m Mark) At(key string) jdf.Place {
	if p, ok := m.Keys[key]; ok {
		return p
	}
	return m.Entry
}

// CostCentre is a place where time costs money.
type CostCentre struct {
	Mark
	ID, Name string
	// Rates in currency an hour, by what the time is spent on.
	Makeready, Run, Idle decimal.Decimal

	Crew   int     // people who work there at once, 1 where the file states none
	Shifts []Shift // when it is manned; empty when the file does not say

	// Wage is of one of the Crew, in currency an hour, within the rates; zero when
	// not stated. Premiums are paid on the wages of the crew, or without them on the
	// whole rate, see PremiumAnHour.
	Wage     decimal.Decimal
	Overtime decimal.Decimal // premium of time outside the shifts and on holidays, percent
}

// Machine is what all machines have in common.
type Machine struct {
	Mark
	ID, Name   string // ID is the DeviceID that tickets and messages use
	CostCentre *CostCentre
	Connection Connection // how the service reaches it; the zero Connection when the file does not say
}

// PressKind is how a press prints.
type PressKind string

// The kinds of press.
const (
	Offset  PressKind = "offset"  // sheet-fed, with plates
	Digital PressKind = "digital" // cut sheet, without plates
)

// Press is a printing press.
type Press struct {
	Machine
	Kind PressKind

	MinSheet, MaxSheet  Size   // across the cylinder x along the run
	Gripper, Tail, Side Length // unprinted margins: leading edge, trailing edge, each side
	ColorBar            Length // strip at the tail taken by the control bar, beside Tail
	Grammage            Range  // g/m2
	Caliper             Range  // micrometres
	Units               int    // colours in one pass
	Perfecting          *Perfecting
	Coatings            []string // kinds that the coater can lay, such as aqueous or UV
	Dryers              []string // IR, UV, …
	Speed               []Step   // sheets an hour, by grammage in g/m2
	DuplexSpeed         []Step   // digital: sheets an hour when both sides print; empty means half of Speed
	StockSpeed          []StockSpeed
	InkLimit            decimal.Decimal // total coverage of a side that it lays dry, percent; zero when not stated
	Dampening           string          // offset: alcohol, alcohol reduced, alcohol free or waterless; "" when not stated

	Makeready       time.Duration // of one form, without plates
	MakereadyTasks  []Task        // what Makeready consists of, see CriticalPath; when given they count instead of it
	StockMakeready  []Step        // percent of the makeready by grammage in g/m2; nil for all of it
	PlateChange     time.Duration // for PlatesAtOnce plates
	PlatesAtOnce    int
	WashUp          time.Duration // after a job, per colour unit used
	WashUpColor     time.Duration // beside WashUp, for each unit that goes from dark to light or to another special
	DryingTime      time.Duration // before the sheets can go on; adds to the lead time, not to the cost
	Setup           Spoilage
	StockWaste      []StockWaste
	PlatePrice      decimal.Decimal // each
	ClickPrice      decimal.Decimal // digital: a colour impression of one side
	BlackClickPrice decimal.Decimal // digital: a black impression of one side
	InkPrice        decimal.Decimal // a kilogram, offset
	InkFilm         decimal.Decimal // g/m2 of a solid, offset

	// Of a press with a coater:
	CoatingMakeready time.Duration
	CoatingSetup     int             // sheets a makeready, beside Setup
	CoatingFilm      decimal.Decimal // g/m2, wet, of a full coating
	CoatingPrice     decimal.Decimal // a kilogram
}

// StockSpeed is how much of the speed a sort of paper lets a press run at.
// Coatings that are not listed have the full speed.
type StockSpeed struct {
	Coating string          // of the stock: none, gloss, silk, matt
	Factor  decimal.Decimal // percent of the speed by grammage
}

// StockWaste is how much of the running waste a sort of paper has. Coatings that are
// not listed have all of it.
type StockWaste struct {
	Coating string          // of the stock: none, gloss, silk, matt
	Factor  decimal.Decimal // percent of the running waste
}

// Perfecting is printing both sides in one pass.
type Perfecting struct {
	Front, Back int             // units a side
	Grammage    Range           // g/m2
	Speed       decimal.Decimal // percent of the straight speed
	Setup       int             // sheets a makeready, beside the press's Setup
}

// Spoilage is what a machine wastes.
type Spoilage struct {
	Setup        int // sheets or pieces a makeready
	SetupPerUnit int // and for each colour, section or fold beside

	// Later is the share of the setup waste, in percent, that each further
	// makeready of the same job takes; it is 100 where the file states none.
	Later   decimal.Decimal
	Running []Step // percent, by output quantity; see Plant.Compounding
}

// Step is one step of a table: Value holds for inputs up to and with UpTo; the
// last step, with UpTo zero, holds for all above. Tables are looked up, never
// interpolated.
type Step struct {
	UpTo  decimal.Decimal
	Value decimal.Decimal
}

// Guillotine cuts piles.
type Guillotine struct {
	Machine
	MaxWidth, MaxDepth Length // knife, and from back gauge to knife
	MinCut             Length // smallest piece that it can hold
	Lift               Length // height of a pile
	Setup              time.Duration
	Load               time.Duration // a lift: load, jog, unload
	Cut                time.Duration // one cut
	Spoilage           Spoilage
}

// Folder folds sheets.
type Folder struct {
	Machine
	MinSheet, MaxSheet Size
	Grammage           Range // g/m2
	Catalog            []FoldScheme
	Speed              []Step // sheets an hour, by grammage in g/m2
	Setup              time.Duration
	SetupPerFold       time.Duration
	Creaser            bool // it scores a sheet before it folds it
	Spoilage           Spoilage
}

// FoldScheme is one fold that a folder is equipped for. The geometry is the
// plant's own statement: the code alone does not tell it.
type FoldScheme struct {
	Mark
	Code          string // fold catalogue code, such as F16-6
	Columns, Rows int    // cells of one side of the unfolded sheet
	Folds         int
	Grammage      Range // g/m2 that this fold takes; zero means the folder's
}

// Pages is the number of pages of a section folded by the scheme.
func (f FoldScheme) Pages() int { return 2 * f.Columns * f.Rows }

// Stitcher gathers and saddle-stitches sections.
type Stitcher struct {
	Machine
	Pages            IntRange // of the book, with cover
	Thickness        Range    // of the closed book, micrometres
	MinTrim, MaxTrim Size     // spine length is the height
	MaxCreep         Length   // push-out of the innermost sheet that it still trims well; zero when not stated
	Pockets          int      // feeders, cover feeder among them
	Speed            int      // copies an hour
	Setup            time.Duration
	SetupPerPocket   time.Duration
	Spoilage         Spoilage        // Setup pieces, and per section
	Lap              Length          // lip for opening the section
	WirePrice        decimal.Decimal // for 1000 stitches
}

// Binder glues blocks into covers.
type Binder struct {
	Machine
	Thickness        Range // of the block, micrometres
	Cover            Range // g/m2 of the cover; zero when not stated
	MinTrim, MaxTrim Size
	Stations         int
	Speed            int // copies an hour
	Setup            time.Duration
	SetupPerStation  time.Duration
	Spoilage         Spoilage        // Setup pieces, and per section
	GluePrice        decimal.Decimal // for 1000 copies
}

// Stock is a paper or board that can be had.
type Stock struct {
	Mark
	ID, Name string
	Size     Size            // of the sheet as bought
	Grammage float64         // g/m2
	Caliper  float64         // micrometres
	Coating  string          // none, gloss, silk, matt
	Grain    string          // long or short edge
	Price    decimal.Decimal // for 1000 sheets

	MinimumOrder int // sheets, 0 when there is none
	Pack         int // sheets that are sold together, 0 when single sheets are

	Qualities []string // of tickets, MediaQuality, that mean this stock beside its ID and its Name
}

// Range is an inclusive range; a zero Max means no upper limit is stated.
type Range struct{ Min, Max float64 }

// IntRange is an inclusive range of whole numbers.
type IntRange struct{ Min, Max int }

// Contains reports whether v is in the range.
func (r Range) Contains(v float64) bool { return v >= r.Min && (r.Max == 0 || v <= r.Max) }

// Contains reports whether v is in the range.
func (r IntRange) Contains(v int) bool { return v >= r.Min && (r.Max == 0 || v <= r.Max) }
