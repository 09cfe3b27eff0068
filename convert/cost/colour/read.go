package colour

import (
	"math"
	"strings"

	"quoin/jdf"
	"quoin/jdf/value"
	"quoin/validate"
)

// Read finds all measurements of a document, in its order. The findings are of
// values that cannot be read, which are left out.
func Read(doc *jdf.Document) ([]Measurement, []validate.Finding) {
	r := &reader{doc: doc}
	r.gather()
	for n := range doc.Elements() {
		switch {
		case n.Is("QualityControlResult") && outermost(n):
			for i, l := range leaves(n) {
				r.result(l)
				if strip := n.Parent(); i == 0 && strip.Is("ColorControlStrip") && r.firstOf(strip, n.Local()) == n {
					r.strip(strip, r.resultOf(l))
				}
			}
		case n.Is("InkZoneProfile") && outermost(n):
			for _, l := range leaves(n) {
				r.keys(l)
			}
		case n.Is("ColorControlStrip", "CIELABMeasuringField", "DensityMeasuringField") && r.reports(n):
			for _, l := range leaves(n) {
				r.reported(l.node)
			}
		}
	}
	return r.all, r.found
}

// reader is one document being read.
type reader struct {
	doc   *jdf.Document
	ids   map[string]jdf.Node // what references of JDF mean
	audit map[string]jdf.Node // the first link of a ResourceAudit, by what it refers to
	zones zoning
	// device is the only one that a ticket has, for what names none; header is
	// that of the document.
	device string
	header jdf.Node
	parts  map[int][3]string     // by element, see partsOf
	inner  map[childKey]jdf.Node // children that were asked for
	all    []Measurement
	found  []validate.Finding
}

// gather finds what measurements refer to: ids, audits of resources, and how
// wide the ink zones are.
func (r *reader) gather() {
	r.ids, r.audit = map[string]jdf.Node{}, map[string]jdf.Node{}
	r.parts, r.inner = map[int][3]string{}, map[childKey]jdf.Node{}
	r.device, r.header = r.onlyDevice(), r.doc.Root().Child("Header")
	for n := range r.doc.Elements() {
		if id := n.Get("ID"); id != "" && r.doc.Kind.First() {
			if _, twice := r.ids[id]; !twice {
				r.ids[id] = n
			}
		}
		if n.Is("ResourceAudit") {
			for link := range n.Children() {
				// The first link tells what was; a second, what it replaces.
				if ref := link.Get("rRef"); ref != "" {
					if _, twice := r.audit[ref]; !twice {
						r.audit[ref] = link
					}
					break
				}
			}
		}
		if n.Is("InkZoneCalculationParams", "InkZoneProfile") && r.zones.width == 0 {
			r.zones = r.zoning(n)
		}
	}
}

// report adds a finding of an attribute that is not what is wanted.
func (r *reader) report(a jdf.Attr, want string) {
	r.found = append(r.found, ruleUnreadable.At(a.Place(), validate.F("name", nameOf(a)),
		validate.F("got", short(a.Value())), validate.F("want", want)))
}

// nameOf writes an attribute as messages have it.
func nameOf(a jdf.Attr) string { return a.Owner().Local() + "/@" + a.Local() }

// short bounds what a message quotes.
func short(s string) string {
	const most = 60
	if runes := []rune(s); len(runes) > most {
		return string(runes[:most]) + "…"
	}
	return s
}

// most bounds what is read as a measurement: nothing that an instrument gives
// is near it, and sums of such numbers stay finite.
const most = 1e6

// number reads an attribute; it is false when there is none, or none that can
// be read.
func (r *reader) number(n jdf.Node, name string) (float64, bool) {
	a := n.Attr(name)
	if !a.Valid() {
		return 0, false
	}
	v, err := value.ParseDouble(a.Value())
	if err != nil || !sound(v) {
		r.report(a, "a number such as 1.45")
		return 0, false
	}
	return v, true
}

func sound(v float64) bool { return !math.IsNaN(v) && math.Abs(v) <= most }

// numbers reads a list.
func (r *reader) numbers(n jdf.Node, name string) ([]float64, bool) {
	a := n.Attr(name)
	if !a.Valid() {
		return nil, false
	}
	all, err := value.ParseList(a.Value(), value.ParseDouble)
	good := err == nil && len(all) > 0
	for _, v := range all {
		good = good && sound(v)
	}
	if !good {
		r.report(a, "numbers with blanks between")
		return nil, false
	}
	return all, true
}

// pair reads two numbers in points.
func (r *reader) pair(n jdf.Node, name string) (value.XYPair, bool) {
	a := n.Attr(name)
	if !a.Valid() {
		return value.XYPair{}, false
	}
	p, err := value.ParseXYPair(a.Value())
	if err != nil || !sound(p.X) || !sound(p.Y) {
		r.report(a, "two numbers in points such as 0.2 -0.1")
		return value.XYPair{}, false
	}
	return p, true
}

// sample is the number of the last sheet that a result is of. Numbers that
// count from the end of a run are of no use while it goes on.
func (r *reader) sample(n jdf.Node) int64 {
	a := n.Attr("Sample")
	if !a.Valid() {
		return Unknown
	}
	var first, last int
	if r.doc.Kind.Second() {
		v, err := value.ParseList(a.Value(), value.ParseInt)
		if err != nil || len(v) != 2 {
			r.report(a, "a range of sheets such as 500 500")
			return Unknown
		}
		first, last = int(v[0]), int(v[1])
	} else {
		v, err := value.ParseIntegerRange(a.Value())
		if err != nil {
			r.report(a, "a range of sheets such as 500 ~ 500")
			return Unknown
		}
		first, last = v.First, v.Last
	}
	if first < 0 || last < 0 || max(first, last) > math.MaxInt32 {
		return Unknown
	}
	return int64(max(first, last))
}

// resultOf is what a QualityControlResult says of all its values.
func (r *reader) resultOf(l *level) Measurement {
	base := r.about(l.node)
	base.Usage = Standard
	for _, word := range strings.Fields(l.get("MeasurementUsage")) {
		if word == "Master" {
			base.Usage = Master
		}
	}
	base.Sheet = r.sample(l.with("Sample"))
	if id := l.get("SourceDeviceID"); id != "" {
		base.Device = id
	}
	if face := l.get("Position"); base.Side == "" && (face == "Front" || face == "Back") {
		base.Side = face
	}
	for _, name := range []string{"Start", "End"} { // the later one wins
		if t, ok := r.moment(l.with(name), name); ok {
			base.Time = t
		}
	}
	return base
}

// result reads one QualityControlResult. Of what stands around a partition only
// single values are inherited, so that a small file stays a small run.
func (r *reader) result(l *level) {
	base := r.resultOf(l)
	r.strip(r.childOf(l.node.Child("ColorMeasurement"), "ColorControlStrip"), base)
	r.strip(r.childOf(l.node, "ColorControlStrip"), base)
	if q := r.child(l, "RegistrationQuality"); q.Valid() {
		r.register(q, base)
	}
}

// register reads how far one colour lies off another, in points.
func (r *reader) register(n jdf.Node, m Measurement) {
	offset, ok := r.pair(n, "Offset")
	if !ok {
		return
	}
	m.Reference, m.Nominal = n.Get("Reference"), Unknown
	m.Source = sourceAt(n.Attr("Offset").Place())
	m.Kind, m.Value = RegisterX, value.Length(offset.X).MM()
	r.all = append(r.all, m)
	m.Kind, m.Value = RegisterY, value.Length(offset.Y).MM()
	r.all = append(r.all, m)
}

// reports tells whether an element is what the ResourceInfo of a JMF message
// reports, and has no QualityControlResult of its own to be read with.
func (r *reader) reports(n jdf.Node) bool {
	return r.doc.Kind.First() && n.Parent().Is("ResourceInfo") && !n.Child("QualityControlResult").Valid()
}

func (r *reader) reported(n jdf.Node) {
	base := r.about(n)
	base.Usage, base.Sheet = Standard, Unknown
	if n.Is("ColorControlStrip") {
		r.strip(n, base)
		return
	}
	s := stripReader{reader: r, base: base}
	s.field(n)
}
