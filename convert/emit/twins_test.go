package emit

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/convert/plan"
	"quoin/jdf/job"
	"quoin/jdf/value"
)

// times lays the operations one after another, an hour of each day, so that ink
// has dried before the next.
func times(pl *plan.Plan) map[int]Span {
	start := time.Date(2026, 3, 4, 6, 0, 0, 0, time.FixedZone("", 3600))
	all := map[int]Span{}
	for i := range pl.Operations {
		all[i] = Span{start.AddDate(0, 0, i), start.AddDate(0, 0, i).Add(time.Hour)}
	}
	return all
}

// TestTwins reads both forms of a plan back: the same operations, with the same
// machines, times, parameters, blocks and amounts, and the same layouts.
func TestTwins(t *testing.T) {
	compared := 0
	for _, c := range cases {
		pl, _ := emitted(t, c.job)
		sets, trees := in(XJDF), in(JDF)
		sets.Times = times(pl)
		trees.Times = sets.Times
		want, got := readBack(t, Tickets(pl, c.job, sets)), readBack(t, Tickets(pl, c.job, trees))
		require.Len(t, got.operations, len(want.operations), c.name)
		names := tokens(pl)
		for i, f := range got.operations {
			f.Front, f.Back = renamed(f.Front, names), renamed(f.Back, names)
			for k := range f.In {
				if f.In[k].Sheet == "" {
					want.operations[i].In[k].Sheet = "" // a medium is of no sheet yet
				}
			}
			require.Equal(t, want.operations[i], f, "%s: %s", c.name, f.Type)
			compared++
		}
		require.Len(t, want.layouts, len(pl.Sheets), c.name)
		require.Equal(t, want.layouts, got.layouts, c.name)
		require.Len(t, want.signatures, len(pl.Sheets), c.name)
		require.Equal(t, want.signatures, got.signatures, c.name)
	}
	require.Greater(t, compared, 40)
}

// told is what all tickets of a plan say together.
type told struct {
	operations []facts
	layouts    map[string]layoutFacts
	signatures map[string]signatureFacts
}

func readBack(t *testing.T, tickets []Ticket) told {
	t.Helper()
	all := told{layouts: map[string]layoutFacts{}, signatures: map[string]signatureFacts{}}
	for _, k := range tickets {
		j := job.Decode(read(t, k))
		all.operations = append(all.operations, factsOf(j)...)
		collect(j, all.layouts, all.signatures)
	}
	return all
}

// facts are what the two forms of an operation have to agree in.
type facts struct {
	Type, PartID string
	Schedule     job.Schedule
	Device       job.Device
	Front, Back  []string
	Style, Dry   string
	Speed        string
	Sides        job.Sides
	Blocks       []blockFacts
	Fold         string
	Stitches     int
	Trim         [2]value.Length
	Varnish      string
	In, Out      []flow
}

type blockFacts struct {
	Name string
	Box  value.Rectangle
}

// flow is what of one sheet goes in or comes out. Paper that is fed as it was
// bought is a component in XJDF and a medium in JDF.
type flow struct {
	Sheet, Good, Waste string
	Width, Height      float64
}

func factsOf(j *job.Job) []facts {
	var all []facts
	for _, op := range j.Operations {
		f := facts{
			Type: op.Type, PartID: op.PartID.Value, Schedule: bare(op.Schedule), Front: op.Front.Value, Back: op.Back.Value,
			In: flows(op.Inputs), Out: flows(op.Outputs),
		}
		if len(op.Devices) == 1 {
			d := op.Devices[0]
			f.Device = job.Device{ID: job.Fact[string]{Value: d.ID.Value}, Name: job.Fact[string]{Value: d.Name.Value},
				CostCenter: job.Fact[string]{Value: d.CostCenter.Value}}
		}
		if p := op.Printing; p != nil {
			f.Style, f.Dry, f.Speed, f.Sides = p.WorkStyle.Value, p.Drying.Value, p.Speed.Value.String(), p.Sides.Value
		}
		if p := op.Cutting; p != nil {
			for _, b := range p.Blocks {
				f.Blocks = append(f.Blocks, blockFacts{b.Name.Value, rounded(b.Box.Value)})
			}
		}
		if p := op.Folding; p != nil {
			f.Fold = p.Catalog.Value
		}
		if p := op.Stitching; p != nil {
			f.Stitches = p.Count.Value
		}
		if p := op.Trimming; p != nil {
			f.Trim = [2]value.Length{p.Width.Value, p.Height.Value}
		}
		if p := op.Varnish; p != nil {
			f.Varnish = p.Area.Value
		}
		all = append(all, f)
	}
	return all
}

func bare(s job.Schedule) job.Schedule {
	return job.Schedule{
		Start: plain(s.Start), End: plain(s.End), LastEnd: plain(s.LastEnd), Setup: plain(s.Setup), Total: plain(s.Total),
		Status: plain(s.Status),
	}
}

// plain is a fact without its place.
func plain[T any](f job.Fact[T]) job.Fact[T] { return job.Fact[T]{Value: f.Value, Given: f.Given} }

// rounded takes off what adding size and place of a block in floating point brings.
func rounded(r value.Rectangle) value.Rectangle {
	return value.Rectangle{LLX: thousandth(r.LLX), LLY: thousandth(r.LLY), URX: thousandth(r.URX), URY: thousandth(r.URY)}
}

func thousandth(f float64) float64 { return math.Round(f*1000) / 1000 }

func flows(uses []*job.Use) []flow {
	var all []flow
	for _, u := range uses {
		if !u.Amounts.Good.Given || u.Kind == "ExposedMedia" {
			continue
		}
		f := flow{Good: u.Amounts.Good.Value.String(), Waste: u.Amounts.Waste.Value.String()}
		switch {
		case u.Component != nil:
			f.Sheet, f.Width, f.Height = u.Part.Get("SheetName"), u.Component.Size.Value.X, u.Component.Size.Value.Y
		case u.Media.Type.Value == "Paper":
			f.Width, f.Height = u.Media.Size.Value.X, u.Media.Size.Value.Y
		default:
			continue
		}
		all = append(all, f)
	}
	return all
}

func renamed(list []string, names map[string]string) []string {
	var all []string
	for _, name := range list {
		all = append(all, names[name])
	}
	return all
}

type layoutFacts struct {
	Style     string
	Surface   value.Rectangle
	Positions []value.Rectangle
}

type signatureFacts struct {
	Type, Catalog string
	Up            value.XYPair
}

// collect gathers layouts by sheet, whose facts JDF spreads over two resources,
// and signatures by name.
func collect(j *job.Job, layouts map[string]layoutFacts, signatures map[string]signatureFacts) {
	for _, l := range j.Layouts {
		f := layouts[l.Part.Get("SheetName")]
		f.Style = l.WorkStyle.Or(f.Style)
		f.Surface = l.Surface.Or(f.Surface)
		if len(l.Positions) > 0 {
			f.Positions = nil
		}
		for _, p := range l.Positions {
			f.Positions = append(f.Positions, p.Box.Value)
		}
		layouts[l.Part.Get("SheetName")] = f
	}
	for _, s := range j.Signatures {
		name := s.ID.Value
		if _, ok := s.Part.Lookup("BinderySignatureID"); !ok {
			name = "BS" + name[len("BinderySignature-"):] // sheets are numbered in their order
		}
		signatures[name] = signatureFacts{s.Type.Value, s.Catalog.Value, s.NumberUp.Value}
	}
}
