package plant

import (
	"github.com/shopspring/decimal"
	"go.yaml.in/yaml/v3"
)

var (
	kilograms = units("kg", "1", "g", "0.001", "t", "1000")
	mass      = scalar("a mass such as 750 kg", func(_ *reader, text string) (decimal.Decimal, *fault) {
		return positive(kilograms.read(text))
	})
	sheetCount = count("a count such as 500 sheets", 1, "sheets")
)

// paperCoatings are the coatings that a stock can have.
var paperCoatings = []string{"none", "gloss", "silk", "matt"}

func stockSchema() schema[Stock] {
	return schema[Stock]{name: "stock", keys: []key[Stock]{
		need("id", word, func(s *Stock) *string { return &s.ID }, "what plans call it"),
		may("name", text, func(s *Stock) *string { return &s.Name }, "for readers"),
		need("size", size, func(s *Stock) *Size { return &s.Size }, "of the sheet as bought"),
		need("grammage", number("a grammage such as 135 g/m2", weights),
			func(s *Stock) *float64 { return &s.Grammage }, "mass of a square metre"),
		need("caliper", number("a thickness such as 104 um", lengths),
			func(s *Stock) *float64 { return &s.Caliper }, "thickness of a sheet, as measured"),
		need("coating", oneOf(paperCoatings...), func(s *Stock) *string { return &s.Coating },
			"of the paper"),
		need("grain", oneOf("long", "short"), func(s *Stock) *string { return &s.Grain },
			"edge that the fibres run along"),
		need("price", money("a price such as 83.20 EUR per 1000 sheets", "per 1000 sheets"),
			func(s *Stock) *decimal.Decimal { return &s.Price }, "as bought"),
		may("minimum order", sheetCount, func(s *Stock) *int { return &s.MinimumOrder },
			"least that is sold; none when not given"),
		may("pack", sheetCount, func(s *Stock) *int { return &s.Pack },
			"sheets that are sold together; single ones when not given"),
		may("qualities", listOf("a list such as [135_GLOSS]", text), func(s *Stock) *[]string { return &s.Qualities },
			"words for it in the MediaQuality of tickets"),
	}, mark: func(s *Stock) *Mark { return &s.Mark }}
}

// coatingTable is a group with a key for each coating of paper. add makes the
// place that a value goes to.
func coatingTable[T any](name, doc string, of kind[decimal.Decimal], add func(*T, string) *decimal.Decimal) schema[T] {
	s := schema[T]{name: name}
	for _, coating := range paperCoatings {
		s.keys = append(s.keys, may(coating, of, func(t *T) *decimal.Decimal { return add(t, coating) },
			doc+" with that coating"))
	}
	return s
}

type stockSpeeds struct{ list []StockSpeed }

// part is a share above zero of a figure that holds for most work.
func part(form string, most int64) kind[decimal.Decimal] {
	return scalar(form, func(_ *reader, text string) (decimal.Decimal, *fault) {
		n, bad := positive(percent.read(text))
		if bad == nil && n.GreaterThan(decimal.NewFromInt(most)) {
			bad = badSense("it can be at most %d %%", most)
		}
		return n, bad
	})
}

type stockWastes struct{ list []StockWaste }

func stockWasteSchema() schema[stockWastes] {
	return coatingTable("stock waste", "share of the running waste on paper", part("a percentage such as 130 %", 500),
		func(s *stockWastes, coating string) *decimal.Decimal {
			s.list = append(s.list, StockWaste{Coating: coating})
			return &s.list[len(s.list)-1].Factor
		})
}

func stockSpeedSchema() schema[stockSpeeds] {
	return coatingTable("stock speed", "share of the speed on paper", part("a percentage such as 90 %", 200),
		func(s *stockSpeeds, coating string) *decimal.Decimal {
			s.list = append(s.list, StockSpeed{Coating: coating})
			return &s.list[len(s.list)-1].Factor
		})
}

type stockFilms struct{ list []StockFilm }

func stockFilmSchema() schema[stockFilms] {
	return coatingTable("film", "film of a solid on paper", film,
		func(s *stockFilms, coating string) *decimal.Decimal {
			s.list = append(s.list, StockFilm{Coating: coating})
			return &s.list[len(s.list)-1].Film
		})
}

// mapped turns a kind of one type into one of another.
func mapped[A, B any](k kind[A], turn func(A) B) kind[B] {
	return kind[B]{k.form, k.outline, func(r *reader, n *yaml.Node, path string) (B, bool) {
		v, ok := k.read(r, n, path)
		return turn(v), ok
	}}
}

func inkSchema() schema[Ink] {
	kinds := oneOf(ProcessInk, SpecialInk, AqueousCoating, UVCoating, VarnishCoating)
	films := mapped(group("film", stockFilmSchema()), func(s stockFilms) []StockFilm { return s.list })
	return schema[Ink]{name: "ink", keys: []key[Ink]{
		need("id", word, func(i *Ink) *string { return &i.ID }, "what plans call it"),
		may("name", text, func(i *Ink) *string { return &i.Name },
			"of the separation in tickets; the id when not given"),
		need("kind", kinds, func(i *Ink) *InkKind { return &i.Kind }, "what it is"),
		need("price", kilo, func(i *Ink) *decimal.Decimal { return &i.Price }, "of a kilogram"),
		may("film", films, func(i *Ink) *[]StockFilm { return &i.Film }, "of a solid, by the coating of the paper"),
	}, mark: func(i *Ink) *Mark { return &i.Mark }}
}

func scoreSchema() schema[Score] {
	from := number("a grammage such as 170 g/m2", weights)
	return schema[Score]{name: "score from", keys: []key[Score]{
		need("along grain", from, func(s *Score) *float64 { return &s.Along },
			"from which a fold with the grain is creased before"),
		need("across grain", from, func(s *Score) *float64 { return &s.Across },
			"from which a fold against the grain is creased before"),
	}, senses: []sense[Score]{{"across grain", func(s *Score) string {
		if s.Across > s.Along {
			return "a fold against the grain breaks earlier than one with it"
		}
		return ""
	}}}}
}

func palletSchema() schema[Pallet] {
	return schema[Pallet]{name: "pallet", keys: []key[Pallet]{
		need("size", size, func(p *Pallet) *Size { return &p.Size }, "of the deck"),
		need("max height", someLength, func(p *Pallet) *Length { return &p.MaxHeight }, "of the goods on it"),
		need("max weight", mass, func(p *Pallet) *decimal.Decimal { return &p.MaxWeight }, "of goods and pallet"),
		need("tare", mass, func(p *Pallet) *decimal.Decimal { return &p.Tare }, "of the empty pallet"),
	}, senses: []sense[Pallet]{{"max weight", func(p *Pallet) string {
		if p.MaxWeight.LessThanOrEqual(p.Tare) {
			return "the pallet alone is as heavy"
		}
		return ""
	}}}}
}
