package job

import (
	"github.com/shopspring/decimal"

	"quoin/jdf"
	"quoin/jdf/value"
)

// Product is a piece that the customer wants, or a part of one, with its intents.
type Product struct {
	Node jdf.Node

	ID     Fact[string]
	Name   Fact[string] // DescriptiveName
	Type   Fact[string] // ProductType, such as Brochure or Cover
	Root   bool         // delivered, rather than a part of another product
	Amount Amounts      // copies
	Due    Fact[value.DateTime]

	Size       Fact[value.Shape]  // finished: width, height and, when given, thickness, in points
	Flat       Fact[value.XYPair] // before folding, in points
	Pages      Fact[int]          // pages of the finished piece; a leaf has two
	Sides      Fact[Sides]
	Bleed      Fact[value.Length]
	Media      MediaIntent
	Front      Surface
	Back       Surface
	Fold       Fact[string] // FoldCatalog code such as F8-2
	Binding    Binding
	Lamination Lamination

	Parts []*Product // such as cover and body, in binding order
}

// Sides says which surfaces are printed.
type Sides uint8

// The surfaces printed.
const (
	OneSided     Sides = iota + 1
	OneSidedBack       // only the back
	TwoSided           // head to head
	TwoSidedFoot       // head to foot
)

// String writes the sides in plain words.
func (s Sides) String() string {
	return [...]string{"", "front only", "back only", "both sides, head to head", "both sides, head to foot"}[s]
}

// Both reports whether both surfaces are printed.
func (s Sides) Both() bool { return s >= TwoSided }

// Surface is what is wanted on one side.
type Surface struct {
	Colors   Fact[[]string]        // separations in the order given
	Coatings Fact[[]string]        // such as FullGloss or UV
	Coverage Fact[decimal.Decimal] // ink coverage of all colours together, in percent; 400 is four solids
}

// MediaIntent is the stock that the customer wants.
type MediaIntent struct {
	Stock
	Node jdf.Node
}

// Stock is what describes a paper or board, wanted or given.
type Stock struct {
	Type         Fact[string]  // MediaType, such as Paper
	Weight       Fact[float64] // g/m2
	Thickness    Fact[float64] // micrometres
	FrontCoating Fact[string]  // Coating: None, Gloss, Matte, …
	BackCoating  Fact[string]
	Grain        Fact[string] // GrainDirection or MediaDirection
	Quality      Fact[string] // MediaQuality or StockType
	Brand        Fact[string]
}

// Binding is how the parts are joined.
type Binding struct {
	Node     jdf.Node
	Type     Fact[string] // SaddleStitch, SoftCover, HardCover, …
	Side     Fact[string] // Left, Top, …
	Order    Fact[string] // Collecting, Gathering, …
	Stitches Fact[int]
}

// Lamination is a film on one or both sides.
type Lamination struct {
	Surface Fact[string] // Front, Back or Both
	Texture Fact[string]
}
