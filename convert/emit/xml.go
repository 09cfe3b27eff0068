package emit

import (
	"math"
	"strconv"
	"strings"
	"unicode"

	"github.com/beevik/etree"

	"quoin/convert/plan"
	"quoin/jdf/value"
	"quoin/validate/plant"
)

// set writes attributes given as name and value in turn; empty values are left out.
func set(e *etree.Element, pairs ...string) *etree.Element {
	for i := 0; i+1 < len(pairs); i += 2 {
		if pairs[i+1] != "" {
			e.CreateAttr(pairs[i], pairs[i+1])
		}
	}
	return e
}

// resources opens a resource set; usage is Input, Output or "".
func (w *writer) resources(name, usage string) *etree.Element {
	return set(w.root.CreateElement("ResourceSet"), "Name", name, "Usage", usage)
}

// resource opens a set of one resource.
func (w *writer) resource(name, usage string, attrs ...string) *etree.Element {
	return set(w.resources(name, usage).CreateElement("Resource"), attrs...)
}

// points writes a length in points, to a thousandth: a third of a micrometre.
func points(l plant.Length) string { return value.FormatDouble(inPoints(l)) }

func inPoints(l plant.Length) float64 { return math.Round(l.Ticket().Points()*1000) / 1000 }

// extent writes the distance between two edges as they are written, so that
// edge and distance together give the other edge again.
func extent(from, to plant.Length) string {
	return value.FormatDouble(math.Round((inPoints(to)-inPoints(from))*1000) / 1000)
}

func pair(f plan.Format) string { return points(f.Width) + " " + points(f.Height) }

// rectangle writes lower left and upper right corner.
func rectangle(b plan.Box) string {
	return strings.Join([]string{points(b.X), points(b.Y), points(b.X + b.Width), points(b.Y + b.Height)}, " ")
}

func number(f float64) string { return value.FormatDouble(f) }

func whole(n int) string { return strconv.Itoa(n) }

// token makes an NMTOKEN of any text: what a token may not hold becomes "_".
func token(s string) string {
	if value.IsNMTOKEN(s) {
		return s
	}
	t := strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune("-._", r) {
			return r
		}
		return '_'
	}, s)
	if !value.IsNMTOKEN(t) {
		return "_"
	}
	return t
}

// tokens names the separations of a plan: a colour name may hold blanks, a
// separation may not. Names that would fall together are numbered.
func tokens(pl *plan.Plan) map[string]string {
	names, taken := map[string]string{}, map[string]bool{}
	for _, s := range pl.Sheets {
		for _, list := range [][]string{s.Front, s.Back} {
			for _, name := range list {
				if names[name] != "" {
					continue
				}
				t := token(name)
				for n := 2; taken[t]; n++ {
					t = token(name) + "_" + whole(n)
				}
				names[name], taken[t] = t, true
			}
		}
	}
	return names
}

// amounts writes what goes in, or what comes off with its waste.
func amounts(resource *etree.Element, good, waste int) {
	amount := resource.CreateElement("AmountPool").CreateElement("PartAmount")
	set(amount, "Amount", whole(good))
	if waste > 0 {
		set(amount, "Waste", whole(waste))
	}
}
