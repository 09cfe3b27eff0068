package plan

import (
	"fmt"
	"time"

	"github.com/shopspring/decimal"

	"quoin/jdf/value"
	"quoin/validate/plant"
)

// Kind is the kind of work that a plan is for.
type Kind string

// The kinds of work that can be planned.
const (
	Flat     Kind = "flat"     // single sheets, flat or folded
	Stitched Kind = "stitched" // saddle-stitched sections
	Glued    Kind = "glued"    // perfect bound: sections and leaves glued into a soft cover
)

// Plan is one way of making a job, down to sheets, minutes and money, with the
// ways that came next and those that are not possible.
type Plan struct {
	JobID    string `json:"jobId"`
	Name     string `json:"name"`
	Plant    string `json:"plant"`
	Currency string `json:"currency"`
	Places   int32  `json:"places"` // decimal places of all money here

	Kind     Kind   `json:"kind"`
	Quantity int    `json:"quantity"` // copies to be delivered
	Finished Format `json:"finished"` // of the delivered piece; a book has its spine along the height
	Pages    int    `json:"pages"`
	// Spine is the width of a perfect-bound book's spine, cover with it.
	Spine plant.Length `json:"spine,omitempty"`

	// Products are set where the plan makes more than one; Quantity is then that of
	// all together, and Finished the format of the first.
	Products []Product `json:"products,omitempty"`

	Sheets     []*Sheet     `json:"sheets"`
	Operations []*Operation `json:"operations"` // in the order of work
	Materials  []*Material  `json:"materials"`
	Deliveries []Delivery   `json:"deliveries"`
	Totals     Totals       `json:"totals"`

	Tried        int           `json:"tried"`        // forms that were costed
	Alternatives []Alternative `json:"alternatives"` // the next best, cheapest first
	Rejected     []Rejection   `json:"rejected"`     // what was not possible, most frequent first
	Notes        []string      `json:"notes"`        // what was assumed, and what to look at
}

// Product is one of several flat products that are planned together.
type Product struct {
	Name     string `json:"name"`
	Quantity int    `json:"quantity"`
	Finished Format `json:"finished"`
	Sheet    string `json:"sheet"`   // that carries it
	Ups      int    `json:"ups"`     // on that sheet
	OverRun  int    `json:"overRun"` // pieces beyond the quantity that come off the guillotine or the folder
}

// Format is a width and a height in micrometres.
type Format struct {
	Width  plant.Length `json:"width"`
	Height plant.Length `json:"height"`
}

// String writes "210 x 297 mm".
func (f Format) String() string { return plant.Size(f).String() }

// Box is a rectangle on a sheet, in micrometres from the lower left corner with
// the gripper edge at the bottom.
type Box struct {
	X      plant.Length `json:"x"`
	Y      plant.Length `json:"y"`
	Width  plant.Length `json:"width"`
	Height plant.Length `json:"height"`

	Turned  bool `json:"turned,omitempty"`  // the piece lies on its side
	Product int  `json:"product,omitempty"` // index in Plan.Products, where several share the sheet
}

// Time is a duration in whole seconds. In JSON it is written as XML Schema
// writes durations, such as "PT1H8M40S".
type Time struct{ time.Duration }

// MarshalText writes the duration as XML Schema has it.
func (t Time) MarshalText() ([]byte, error) { return []byte(t.Ticket()), nil }

// UnmarshalText reads what MarshalText writes. Durations with years or months
// have no fixed length and are an error.
func (t *Time) UnmarshalText(text []byte) error {
	d, err := value.ParseDuration(string(text))
	if err != nil {
		return err
	}
	fixed, ok := d.Fixed()
	if !ok {
		return fmt.Errorf("duration %q has no fixed length; want days, hours, minutes and seconds", text)
	}
	t.Duration = fixed
	return nil
}

// Ticket is the duration as tickets write it.
func (t Time) Ticket() string { return value.FromTime(t.Duration).String() }

// Sheet is one form: what one set of plates, or one digital run, prints.
type Sheet struct {
	Name    string   `json:"name"`              // S1, S2, …
	Part    string   `json:"part"`              // of the product, such as Cover; "" for flat work
	Section int      `json:"section,omitempty"` // from 1 in its part; the outermost, or the first, of a book
	Pages   string   `json:"pages,omitempty"`   // page numbers of the section, such as "1-8, 65-72"
	Stock   StockUse `json:"stock"`
	Size    Format   `json:"size"` // of the press sheet: across the cylinder x along the run

	Press  string   `json:"press"` // DeviceID
	Style  Style    `json:"style"`
	Front  []string `json:"front"`  // separations
	Back   []string `json:"back"`   // separations
	Plates int      `json:"plates"` // in all

	// Coatings laid in the press on each side, such as aqueous or UV; "" for none.
	CoatFront string `json:"coatFront,omitempty"`
	CoatBack  string `json:"coatBack,omitempty"`

	Margins   Margins      `json:"margins"`
	Columns   int          `json:"columns"`
	Rows      int          `json:"rows"`
	Piece     Format       `json:"piece"`  // block of one position as it lies on the sheet
	Turned    bool         `json:"turned"` // the piece lies on its side
	Bleed     plant.Length `json:"bleed"`
	Gutter    plant.Length `json:"gutter"`
	Positions []Box        `json:"positions"` // row by row from the lower left, field by field
	// Fields are set where the sheet holds more than one, of pieces that lie
	// differently or of several products; Columns, Rows, Piece and Turned are then
	// those of the first.
	Fields []Field `json:"fields,omitempty"`
	Uncut  bool    `json:"uncut"` // the whole sheet goes on to the folder
	// DieCut says that a die cuts the pieces out, and no guillotine.
	DieCut bool `json:"dieCut,omitempty"`

	Fold       string `json:"fold,omitempty"` // fold catalogue code
	FoldGrid   [2]int `json:"foldGrid"`       // columns and rows of pages on one side of a piece
	PiecePages int    `json:"piecePages"`     // pages of one piece, front and back together

	// Leaves is set where one run prints all leaves of a part, to be cut and
	// stacked in their order: the leaves of a copy.
	Leaves int `json:"leaves,omitempty"`

	// Stack is set where pieces are told apart by number, as numbered ones and the
	// leaves of one run are: how many lie in the pile of a position. The first
	// position holds pieces 1 to Stack, the next one goes on from there, so that the
	// piles, put on each other in the order of the positions, are in order.
	Stack int `json:"stack,omitempty"`

	// What lies around the pages of a section: a trim at face, head and foot, the
	// stitcher's lap, the grind-off of each page at the spine, and the spine of a cover.
	Trim     plant.Length `json:"trim,omitempty"`
	Lap      plant.Length `json:"lap,omitempty"`
	GrindOff plant.Length `json:"grindOff,omitempty"`
	Spine    plant.Length `json:"spine,omitempty"`

	CreepFrom plant.Length `json:"creepFrom"` // push-out of the section's outermost leaf
	CreepTo   plant.Length `json:"creepTo"`   // push-out of its innermost leaf

	Good   int `json:"good"`   // sheets that have to leave the press
	Gross  int `json:"gross"`  // press sheets
	Bought int `json:"bought"` // sheets as bought
}

// Margins are the strips of a sheet that hold no pieces.
type Margins struct {
	Lead     plant.Length `json:"lead"`     // at the gripper edge
	Trail    plant.Length `json:"trail"`    // at the tail, with the colour bar inside it
	Side     plant.Length `json:"side"`     // at each side
	ColorBar plant.Length `json:"colorBar"` // height of the bar, at the inner side of the trailing margin
}

// Ups is the number of pieces on a sheet.
func (s *Sheet) Ups() int {
	if len(s.Fields) == 0 {
		return s.Columns * s.Rows
	}
	n := 0
	for _, f := range s.Fields {
		n += f.Columns * f.Rows
	}
	return n
}

// Field is pieces of one kind in columns and rows.
type Field struct {
	Columns int    `json:"columns"`
	Rows    int    `json:"rows"`
	Piece   Format `json:"piece"` // as it lies
	Turned  bool   `json:"turned"`
	Product int    `json:"product"` // index in Plan.Products
}

// StockUse is the paper of a sheet and how it is cut down for the press.
type StockUse struct {
	ID       string  `json:"id"`
	Name     string  `json:"name"`
	Size     Format  `json:"size"` // as bought
	Grammage float64 `json:"grammage"`
	Caliper  float64 `json:"caliper"` // micrometres
	Coating  string  `json:"coating"`
	Grain    string  `json:"grain"`
	Across   int     `json:"across"` // press sheets beside each other in a bought sheet's width
	Down     int     `json:"down"`   // and in its height
}

// Parts is the number of press sheets in a bought sheet.
func (s StockUse) Parts() int { return s.Across * s.Down }

// Step is what an operation does.
type Step string

// The steps, in the order in which they come.
const (
	StepPlates Step = "plates" // plate output; the plant file has no machine for it
	StepStock  Step = "stock"  // cutting bought sheets down to press sheets
	StepPrint  Step = "print"

	StepLaminate Step = "laminate"
	StepVarnish  Step = "varnish" // in a machine beside the presses
	StepDieCut   Step = "die-cut"

	StepCut    Step = "cut"
	StepFold   Step = "fold"
	StepStitch Step = "stitch" // gathering, stitching and three-knife trimming
	StepBind   Step = "bind"   // gathering, milling, gluing into the cover and three-knife trimming
	StepHand   Step = "hand"   // what people do without a machine, to what is finished otherwise
)

// order is the steps in the order of work.
var order = []Step{
	StepPlates, StepStock, StepPrint, StepLaminate, StepVarnish, StepDieCut, StepCut, StepFold,
	StepStitch, StepBind, StepHand,
}

// Operation is one run of one machine.
type Operation struct {
	Step       Step   `json:"step"`
	Sheet      string `json:"sheet,omitempty"` // name of the Sheet; "" when all come together
	Device     string `json:"device,omitempty"`
	DeviceName string `json:"deviceName,omitempty"`
	CostCentre string `json:"costCentre,omitempty"`

	InUnit  string `json:"inUnit"`
	OutUnit string `json:"outUnit"`
	In      int    `json:"in"`
	Out     int    `json:"out"`
	// Waste is in the unit of In.
	SetupWaste   int `json:"setupWaste"`
	RunningWaste int `json:"runningWaste"`

	Makeready Time            `json:"makeready"`
	Run       Time            `json:"run"`
	WashUp    Time            `json:"washUp"`
	Cost      decimal.Decimal `json:"cost"` // of the time, rounded

	Print    *PrintStep    `json:"print,omitempty"`
	Varnish  *VarnishStep  `json:"varnish,omitempty"`
	Laminate *LaminateStep `json:"laminate,omitempty"`
	Die      *DieStep      `json:"die,omitempty"`
	Cut      *CutStep      `json:"cut,omitempty"`
	Fold     *FoldStep     `json:"fold,omitempty"`
	Stitch   *StitchStep   `json:"stitch,omitempty"`
	Bind     *BindStep     `json:"bind,omitempty"`
	Hand     *HandStep     `json:"hand,omitempty"`
}

// Total is all the time that the operation takes.
func (o *Operation) Total() time.Duration {
	return o.Makeready.Duration + o.Run.Duration + o.WashUp.Duration
}

// WasteOut is the waste in the unit of Out, as the device counts it. Of 2506 sheets
// that are cut to 20000 pieces, 6 sheets are 48 pieces.
func (o *Operation) WasteOut() decimal.Decimal {
	waste := o.SetupWaste + o.RunningWaste
	if kept := o.In - waste; kept > 0 && waste > 0 {
		return decimal.NewFromInt(int64(waste)).Mul(decimal.NewFromInt(int64(o.Out))).
			DivRound(decimal.NewFromInt(int64(kept)), 0)
	}
	return decimal.NewFromInt(int64(waste))
}

// MaterialKind is what a material is.
type MaterialKind string

// The kinds of material.
const (
	Paper   MaterialKind = "paper"
	Plates  MaterialKind = "plates"
	Ink     MaterialKind = "ink"
	Clicks  MaterialKind = "clicks"
	Coating MaterialKind = "coating"
	Film    MaterialKind = "film"
	Die     MaterialKind = "die"
	Wire    MaterialKind = "wire"
	Glue    MaterialKind = "glue"
)

// Material is one line of what is bought or used up.
type Material struct {
	Kind     MaterialKind    `json:"kind"`
	Sheet    string          `json:"sheet,omitempty"`
	Name     string          `json:"name"`
	Quantity decimal.Decimal `json:"quantity"`
	Unit     string          `json:"unit"`
	Kilos    decimal.Decimal `json:"kilos"` // weight of paper and ink
	Price    decimal.Decimal `json:"price"` // of PriceFor units
	PriceFor int             `json:"priceFor"`
	Cost     decimal.Decimal `json:"cost"` // rounded
}

// Totals are the exact sums of the lines.
type Totals struct {
	Makeready   Time            `json:"makeready"` // wash-up with it
	Run         Time            `json:"run"`
	TimeCost    decimal.Decimal `json:"timeCost"`
	Paper       decimal.Decimal `json:"paper"`
	Plates      decimal.Decimal `json:"plates"`
	Ink         decimal.Decimal `json:"ink"`       // clicks and coating with it
	Finishing   decimal.Decimal `json:"finishing"` // film, die, wire, glue
	Material    decimal.Decimal `json:"material"`
	Cost        decimal.Decimal `json:"cost"`
	PerThousand decimal.Decimal `json:"perThousand"` // of 1000 copies, rounded
}

// Alternative is a way that cost more.
type Alternative struct {
	Title string          `json:"title"`
	Cost  decimal.Decimal `json:"cost"`
	More  decimal.Decimal `json:"more"` // than the plan
	Why   string          `json:"why"`  // why it lost
}

// Rejection is a reason why ways were not possible, and how many it met.
type Rejection struct {
	Reason string `json:"reason"`
	Count  int    `json:"count"`
}
