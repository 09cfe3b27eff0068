package plan

import "quoin/validate/plant"

// The edges that can lie at the back gauge, by clockwise quarter turns from the
// sheet as it was printed.
const (
	tailBack = iota
	leftBack
	gripBack
	rightBack
)

var edges = [...]Edge{tailBack: Tail, leftBack: Left, gripBack: Gripper, rightBack: Right}

// program lists the cuts of a lift in their order.
//
// The first cut of each direction is laid against the edge that the press was
// fed by, gripper or side lay, so that cutting and printing have one guide; then
// the fresh edge goes to the gauge, and the strips or pieces come off one after
// the other, the farthest from it first.
// Source: bookbinding.com, "Techniques in Cutting Paper", chapter VI, for the
// rule that the guide edges of printing are those of cutting.
func (c cutting) program() []Cut {
	var w cutter
	whole := make([]span, len(c.strips))
	for i, s := range c.strips {
		whole[i] = s.span
	}
	w.direct(c, c.columns, whole, [2]int{}, span{}, FreesStrip)
	for _, t := range c.together {
		w.turned = tailBack
		across := span{c.strips[t[0]].low, c.strips[t[1]].high}
		w.direct(c, !c.columns, c.strips[t[0]].pieces, [2]int{t[0] + 1, t[1] + 1}, across, FreesPiece)
	}
	return w.cuts
}

// cutter writes a program down.
type cutter struct {
	cuts   []Cut
	turned int // how what is on the table lies
}

// direct makes the cuts of one direction. The pile reaches over the whole sheet
// in it; across is its stretch in the other, zero for the whole sheet.
func (w *cutter) direct(c cutting, columns bool, list []span, strips [2]int, across span, frees Freed) {
	guide, fresh, length, breadth := gripBack, tailBack, c.sheet.Height, c.sheet.Width
	if columns {
		guide, fresh, length, breadth = leftBack, rightBack, breadth, length
	}
	if across == (span{}) {
		across.high = breadth
	}
	cut := func(edge int, gauge, at plant.Length, frees Freed) {
		line := Line{X1: across.low, Y1: at, X2: across.high, Y2: at}
		if columns {
			line = Line{X1: at, Y1: across.low, X2: at, Y2: across.high}
		}
		w.add(edge, Cut{Gauge: gauge, Strips: strips, Frees: frees, Line: line})
	}
	end := list[len(list)-1].high
	if end < length {
		cut(guide, end, end, FreesTrim)
	}
	if list[0].low > 0 {
		cut(fresh, end-list[0].low, list[0].low, FreesTrim)
	}
	for i, s := range list[:len(list)-1] {
		cut(fresh, end-s.high, s.high, frees)
		if next := list[i+1].low; next > s.high {
			cut(fresh, end-next, next, FreesTrim)
		}
	}
}

// add turns the pile until the wanted edge lies at the gauge, and cuts.
func (w *cutter) add(edge int, c Cut) {
	c.Number = len(w.cuts) + 1
	c.Turn, c.Back = (edge-w.turned+4)%4, edges[edge]
	w.turned = edge
	w.cuts = append(w.cuts, c)
}

// halving is the program that takes a bought sheet down to press sheets: across
// x down of them, one or two each. Each division is two cuts, one to part the
// lift and one to square the edge that the first cut drew; the program with the
// fewer cuts is taken, or the reason is given why there is none. Parts are
// numbered from 1 in the order in which they are freed.
// Source: technifoldusa.com, "Paper Cutting Techniques", 22 Dec 2011: halving
// for the press takes two cuts or more.
func halving(g *plant.Guillotine, s plant.Size, across, down int) ([]Cut, string) {
	part := plant.Size{Width: s.Width / plant.Length(across), Height: s.Height / plant.Length(down)}
	if min(part.Width, part.Height)+plant.Slack < g.MinCut {
		return nil, "piece smaller than the guillotine holds"
	}
	var best []Cut
	orders := []bool{across > 1}
	if across > 1 && down > 1 {
		orders = []bool{true, false}
	}
	for _, columns := range orders {
		cuts, fits := halve(g, s, columns, across > 1 && down > 1)
		if fits && (best == nil || len(cuts) < len(best)) {
			best = cuts
		}
	}
	if best == nil {
		return nil, "stock sheet larger than the guillotine takes"
	}
	return best, ""
}

// halve cuts a sheet in two, columns or rows, and both halves in two again when
// wanted: side by side if they lie within the knife.
func halve(g *plant.Guillotine, s plant.Size, columns, again bool) ([]Cut, bool) {
	box := plant.Size{Width: g.MaxWidth, Height: g.MaxDepth}
	lying := s
	if columns {
		lying = s.Turned()
	}
	half := plant.Size{Width: lying.Height / 2, Height: lying.Width}
	if !lying.Fits(box) || again && !half.Fits(box) {
		return nil, false
	}
	var w cutter
	w.half(s, columns, [2]int{}, [2]int{2, 2}, span{})
	switch {
	case !again:
	case lying.Height <= g.MaxWidth+plant.Slack:
		w.half(s, !columns, [2]int{1, 2}, [2]int{3, 4}, span{0, lying.Height})
	default:
		w.half(s, !columns, [2]int{1, 1}, [2]int{3, 3}, span{0, lying.Height / 2})
		w.half(s, !columns, [2]int{2, 2}, [2]int{4, 4}, span{lying.Height / 2, lying.Height})
	}
	return w.cuts, true
}

// half parts what lies on the table, and squares what came off.
func (w *cutter) half(s plant.Size, columns bool, on, off [2]int, across span) {
	guide, far, length, breadth := gripBack, tailBack, s.Height, s.Width
	if columns {
		guide, far, length, breadth = leftBack, rightBack, breadth, length
	}
	if across == (span{}) {
		across.high = breadth
	}
	at := length / 2
	line := func(at plant.Length) Line {
		if columns {
			return Line{X1: at, Y1: across.low, X2: at, Y2: across.high}
		}
		return Line{X1: across.low, Y1: at, X2: across.high, Y2: at}
	}
	w.turned = tailBack
	w.add(guide, Cut{Gauge: at, Strips: on, Frees: FreesPart, Line: line(at)})
	w.add(far, Cut{Gauge: at, Strips: off, Frees: FreesEdge, Line: line(length - at)})
}
