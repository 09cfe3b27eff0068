package job

import (
	"github.com/shopspring/decimal"

	"quoin/jdf"
	"quoin/jdf/value"
)

// Operation is one process of the standard that is to be run: a JDF process
// node, one step of a combined node or gray box, or one of the Types of an XJDF.
type Operation struct {
	Node     jdf.Node  // the JDF node, or the XJDF root
	Type     string    // process name, such as ConventionalPrinting
	TypeAt   jdf.Place // where the name stands
	Index    int       // position among the Types of the node, from 0
	PartID   Fact[string]
	Name     Fact[string]
	Schedule Schedule
	Devices  []*Device

	Inputs, Outputs []*Use

	// Parameters of the process; nil when the ticket has none of the kind.
	Printing  *Printing
	Cutting   *Cutting
	Folding   *Folding
	Stitching *Stitching
	Trimming  *Trimming
	Varnish   *Varnish

	Front, Back Fact[[]string] // separations, from plates or colorant control

	unsided Fact[[]string] // separations that the ticket gives without a side
}

// Device is a machine that the ticket names for an operation.
type Device struct {
	ID         Fact[string] // DeviceID
	Name       Fact[string]
	CostCenter Fact[string]
}

// Use is a resource that an operation takes or makes.
type Use struct {
	Node      jdf.Node // resource link, or resource
	Role      string   // ProcessUsage, or ""
	Part      Part
	Amounts   *Amounts   // never nil in a job that was decoded; shared, not to be written to
	Media     *Media     // when it is media
	Component *Component // when it is a component
	Kind      string     // name of the resource, such as Media or RunList
}

// Media is a material: paper, plate, film. One leaf of a partition is one Media.
type Media struct {
	Node jdf.Node
	ID   Fact[string]
	Part Part
	Stock
	Size    Fact[value.XYPair] // width and height in points
	Amounts Amounts
}

// Component is a thing in the making: a printed sheet, a block, a copy.
type Component struct {
	Node    jdf.Node
	ID      Fact[string]
	Name    Fact[string]
	Type    Fact[string] // ProductType or ComponentType
	Part    Part
	Size    Fact[value.Shape] // in points
	Media   *Media            // what it is made of, when named
	Amounts Amounts
}

// Printing is the parameters of a press run.
type Printing struct {
	Node      jdf.Node
	WorkStyle Fact[string]          // Simplex, WorkAndBack, Perfecting, WorkAndTurn, WorkAndTumble
	Drying    Fact[string]          // None, Heatset, IR, UV, …
	Speed     Fact[decimal.Decimal] // sheets an hour
	Sides     Fact[Sides]           // of digital printing
}

// Cutting is the blocks that a sheet is cut into.
type Cutting struct {
	Node   jdf.Node
	Blocks []CutBlock
}

// CutBlock is one rectangle of a sheet, in points from its lower left corner.
type CutBlock struct {
	Node jdf.Node
	Name Fact[string]
	Box  Fact[value.Rectangle]
}

// Folding is a fold scheme.
type Folding struct {
	Node    jdf.Node
	Catalog Fact[string] // FoldCatalog code such as F16-6
	Folds   []jdf.Node   // explicit Fold elements
}

// Stitching is how wire is set.
type Stitching struct {
	Node  jdf.Node
	Type  Fact[string] // Saddle, Side or Corner
	Count Fact[int]    // number of stitches
}

// Trimming is the finished format of a trimmed block, in points.
type Trimming struct {
	Node          jdf.Node
	Width, Height Fact[value.Length]
}

// Varnish is a coating put on in the press or beside it.
type Varnish struct {
	Node   jdf.Node
	Method Fact[string] // Blanket, Plate, Independent
	Area   Fact[string] // Full or Spot
}

// Layout is how pages or pieces stand on a sheet.
type Layout struct {
	Node      jdf.Node
	Part      Part
	WorkStyle Fact[string]
	Surface   Fact[value.Rectangle] // SurfaceContentsBox in points
	Paper     *Media                // the sheet, when the layout names it
	Positions []Position
}

// Position is one place on a sheet that a bindery signature takes.
type Position struct {
	Node      jdf.Node
	Signature Fact[string]          // BinderySignatureID
	Box       Fact[value.Rectangle] // AbsoluteBox in points
}

// Signature is a sheet that is folded to a section, or a flat piece.
type Signature struct {
	Node     jdf.Node
	ID       Fact[string]
	Part     Part
	Type     Fact[string] // Fold, Grid or Die
	Catalog  Fact[string]
	NumberUp Fact[value.XYPair]
}
