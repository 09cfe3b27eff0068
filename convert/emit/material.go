package emit

import (
	"strings"

	"github.com/beevik/etree"

	"quoin/convert/plan"
	"quoin/validate/plant"
)

// coatings are the standard's words for those of a plant file.
var coatings = map[string]string{
	"": "None", "none": "None", "gloss": "Gloss", "silk": "Satin", "satin": "Satin", "matt": "Matte", "matte": "Matte",
}

// paperID is the ID of the paper within a ticket.
const paperID = "paper"

// paper describes the stock of a sheet in a size, with the direction of its
// grain. It gives the set, for the other media of the ticket.
func (w *writer) paper(s *plan.Sheet, size plan.Format, grain string) *etree.Element {
	all := w.resources("Media", "")
	r := set(all.CreateElement("Resource"),
		"DescriptiveName", s.Stock.Name, "ExternalID", token(s.Stock.ID), "ID", paperID)
	set(r.CreateElement("Part"), "SheetName", s.Name)
	set(r.CreateElement("Media"),
		"Coating", coatings[strings.ToLower(s.Stock.Coating)], "Dimension", pair(size), "GrainDirection", grain,
		"MediaType", "Paper", "MediaUnit", "Sheet", "Thickness", number(s.Stock.Caliper), "Weight", number(s.Stock.Grammage))
	return all
}

// grain is the direction of the grain on the bought sheet and on the press
// sheet: along its width, X, or its height, Y.
func grain(s *plan.Sheet) (bought, press string) {
	b := s.Stock.Size
	long := b.Height >= b.Width
	switch strings.ToLower(s.Stock.Grain) {
	case "long":
	case "short":
		long = !long
	default:
		return "", ""
	}
	words := map[bool]string{true: "YDirection", false: "XDirection"}
	return words[long], words[long != turned(s)]
}

// turned reports whether the press sheet lies across as it was cut from the
// bought one.
func turned(s *plan.Sheet) bool {
	b := s.Stock.Size
	return s.Size.Width != b.Width/plant.Length(s.Stock.Across) || s.Size.Height != b.Height/plant.Length(s.Stock.Down)
}

// thing is a component that goes from one ticket to the next.
type thing struct {
	sheet *plan.Sheet // nil for the whole book
	what  string      // paper, printed, cut, folded, book
	piece string      // signature of what has been cut apart; a sheet in one piece is told by its name alone
	size  plan.Format
	thick plant.Length
	media bool // name the paper of the ticket
}

// externalID ties the output of one ticket to the input of another.
func (w *writer) externalID(t thing) string {
	id := token(w.plan.JobID)
	if t.sheet != nil {
		id += "-" + t.sheet.Name
	}
	if t.sheet != nil && ganged(t.sheet) && t.piece != "" {
		id += strings.TrimPrefix(t.piece, "B"+t.sheet.Name)
	}
	return id + "-" + t.what
}

// component writes a resource of a set of components.
func (w *writer) component(in *etree.Element, t thing, good, waste int) {
	r := set(in.CreateElement("Resource"), "ExternalID", w.externalID(t))
	amounts(r, good, waste)
	if t.sheet != nil {
		part := set(r.CreateElement("Part"), "BinderySignatureID", t.piece)
		if name := w.partOf(t); name != "" {
			set(part, "ProductPart", token(name))
		}
		set(part, "SheetName", t.sheet.Name)
	}
	c := r.CreateElement("Component")
	set(c, "Dimensions", pair(t.size)+" "+points(t.thick))
	if t.media {
		set(c, "MediaRef", paperID)
	}
}

// input and output write a set of one component.
func (w *writer) input(t thing, good int) { w.component(w.resources("Component", "Input"), t, good, 0) }

func (w *writer) output(t thing, good, waste int) {
	w.component(w.resources("Component", "Output"), t, good, waste)
}

func caliper(s *plan.Sheet) plant.Length { return plant.Length(s.Stock.Caliper + 0.5) }

func (w *writer) paperSheet(s *plan.Sheet) thing {
	return thing{sheet: s, what: "paper", size: s.Size, thick: caliper(s), media: true}
}

func (w *writer) printedSheet(s *plan.Sheet) thing {
	return thing{sheet: s, what: "printed", size: s.Size, thick: caliper(s), media: true}
}

func (w *writer) cutPiece(s *plan.Sheet) thing { return cutKind(s, kinds(s)[0]) }

// cutKind is one kind of the pieces that a sheet is cut into.
func cutKind(s *plan.Sheet, k kind) thing {
	what := "cut"
	if s.DieCut {
		what = "die-cut"
	}
	return thing{sheet: s, what: what, piece: k.id, size: k.size, thick: caliper(s), media: true}
}

// foldedPiece is as large as a page of its grid and as thick as its leaves.
func (w *writer) foldedPiece(s *plan.Sheet) thing {
	open := openPiece(s)
	if s.Uncut {
		open = upright(s.Size, s.Turned)
	}
	return thing{
		sheet: s, what: "folded", piece: kinds(s)[0].id, media: true,
		thick: plant.Length(float64(s.PiecePages)/2*s.Stock.Caliper + 0.5),
		size: plan.Format{
			Width: open.Width / plant.Length(s.FoldGrid[0]), Height: open.Height / plant.Length(s.FoldGrid[1]),
		},
	}
}

// openPiece is the piece upright, however it lies on the sheet.
func openPiece(s *plan.Sheet) plan.Format { return upright(s.Piece, s.Turned) }

func upright(f plan.Format, turned bool) plan.Format {
	if turned {
		return plan.Format{Width: f.Height, Height: f.Width}
	}
	return f
}
