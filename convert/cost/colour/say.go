package colour

import (
	"fmt"
	"math"
	"strings"
	"time"

	"quoin/validate"
)

// say adds the findings of a series.
func (b *runner) say(s *Series, last target) {
	b.sayOKSheets(s)
	b.sayOut(s)
	if s.Drift != nil {
		b.sayDrift(s)
	}
	if s.Verdict == NotJudged && b.colour != nil && b.aims != nil && !last.known && aimed(s) {
		b.once(ruleNoAims, s.Points[0].Source, validate.F("run", b.about()),
			validate.F("problem", fmt.Sprintf("the aims %q have none for %s", b.aims.Name, s.what())))
	}
}

// aimed reports whether a series is of what plants state aims for.
func aimed(s *Series) bool {
	solid := s.Nominal == 100 || s.Colorant == Paper
	return s.Why == "no aim is stated" && (s.Kind == CIELAB && solid || s.Kind == ToneIncrease)
}

func (b *runner) sayOKSheets(s *Series) {
	if !approvable(s.Kind) {
		return
	}
	for _, p := range s.Points {
		if p.OK && p.Verdict == Out {
			b.report(ruleMaster, p.Source, validate.F("what", b.named(s)), validate.F("got", b.got(s, &p)),
				validate.F("want", s.limit(p.Tolerance)))
		}
	}
}

// sayOut tells of the sheets of a run that are out of tolerance.
func (b *runner) sayOut(s *Series) {
	var first, worst *Point
	for i := range s.Points {
		p := &s.Points[i]
		if p.Verdict != Out || !s.ofRun(*p) {
			continue // sayOKSheets tells of those
		}
		if first == nil {
			first, worst = p, p
		}
		if math.Abs(p.Deviation) > math.Abs(worst.Deviation) {
			worst = p
		}
	}
	if first == nil {
		return
	}
	rule := ruleSheetsOut
	if s.Verdict == Out {
		rule = ruleOut
	}
	b.report(rule, first.Source, validate.F("what", b.named(s)), validate.F("out", s.Out),
		validate.F("sheets", counted(s.In+s.Near+s.Out)), validate.F("first", b.sheet(first)),
		validate.F("got", b.got(s, first)), validate.F("want", s.limit(first.Tolerance)),
		validate.F("worst", signed(s.Kind, worst.Deviation)+s.unit()), validate.F("mend", s.remedy()))
}

func (b *runner) sayDrift(s *Series) {
	per := "an hour"
	if s.Order == BySheets {
		per = "by 1000 sheets"
	}
	t, d := s.Trend, s.Drift
	b.report(ruleDrift, s.Points[len(s.Points)-1].Source, validate.F("what", b.named(s)),
		validate.F("slope", slope(t.Slope)+s.unit()+" "+per),
		validate.F("interval", fmt.Sprintf("%s to %s at %s %%", slope(t.Low), slope(t.High), plain(t.Confidence))),
		validate.F("when", b.place(s.Order, d.Out)),
		validate.F("span", b.place(s.Order, d.Soonest)+" to "+b.place(s.Order, d.Latest)), validate.F("mend", s.remedy()))
}

// named is a series with its run, as messages have it.
func (b *runner) named(s *Series) string { return b.about() + ": " + s.name() }

// name is a series without its run.
func (s *Series) name() string {
	text := s.what()
	if s.Zone > 0 {
		text += fmt.Sprintf(" in zone %d", s.Zone)
	}
	return text
}

// what is a series without zone.
func (s *Series) what() string {
	words := map[Kind]string{
		CIELAB: "colour", Density: "density", NeutralDensity: "neutral density", ToneIncrease: "tone value increase",
		RegisterX: "register across", RegisterY: "register along", InkZone: "ink key", MidtoneSpread: "midtone spread",
	}
	text := words[s.Kind]
	if s.Nominal > 0 && s.Nominal < 100 {
		text += " at " + plain(s.Nominal) + " %"
	}
	if s.Colorant != "" && s.Kind != MidtoneSpread {
		text = clean(s.Colorant) + " " + text
	}
	if s.Reference != "" {
		text += " against " + clean(s.Reference)
	}
	return text
}

// clean bounds a name out of a ticket, which is quoted when it has blanks.
func clean(name string) string {
	if name = short(name); strings.ContainsAny(name, " \t\r\n\"") {
		return fmt.Sprintf("%q", name)
	}
	return name
}

func (s *Series) unit() string {
	switch s.Kind {
	case Density, NeutralDensity, CIELAB:
		return ""
	}
	return " " + s.Unit
}

// limit is a tolerance as messages have it.
func (s *Series) limit(tolerance float64) string {
	return "at most " + signless(s.Kind, tolerance) + s.unit()
}

// got is what a point is, in words.
func (b *runner) got(s *Series, p *Point) string {
	against := fmt.Sprintf(" from the %s", p.Against)
	switch {
	case p.Lab != nil:
		return fmt.Sprintf("dE*ab %.1f and dE00 %.1f%s", *p.DE76, *p.DE00, against)
	case p.Against == Coincidence || s.Kind == MidtoneSpread:
		return signed(s.Kind, p.Value) + s.unit()
	}
	return signless(s.Kind, p.Value) + s.unit() + ", " + signed(s.Kind, p.Deviation) + s.unit() + against
}

// digits behind the point, by kind: as instruments show them.
func digits(k Kind) int {
	switch k {
	case Density, NeutralDensity, RegisterX, RegisterY:
		return 2
	}
	return 1
}

func signless(k Kind, v float64) string { return fmt.Sprintf("%.*f", digits(k), v) }

// signed writes a deviation; colour differences and spreads have no sign.
func signed(k Kind, v float64) string {
	if k == CIELAB || k == MidtoneSpread {
		return signless(k, v)
	}
	return fmt.Sprintf("%+.*f", digits(k), v)
}

// slope writes three digits that count.
func slope(v float64) string { return fmt.Sprintf("%+.3g", v) }

// sheet names the sheet of a point.
func (b *runner) sheet(p *Point) string {
	switch {
	case p.Sheet != Unknown:
		return fmt.Sprintf("sheet %d", p.Sheet)
	case !p.Time.IsZero():
		return "the sheet of " + p.Time.Format(time.RFC3339)
	}
	return "a sheet without number"
}

// place is a place in an order: a sheet or a time. What lies
// beyond the life of a press is not told to the hour.
func (b *runner) place(o Order, at float64) string {
	if o == BySheets {
		if at > 1e9 {
			return "no sheet that will be printed"
		}
		return fmt.Sprintf("sheet %.0f", math.Ceil(at))
	}
	const years = 24 * 365 * 10
	if at > years {
		return "no time that matters"
	}
	return time.Unix(b.origin, 0).UTC().Add(time.Duration(at * float64(time.Hour))).Format("2006-01-02T15:04Z")
}

// remedy is what to set right.
func (s *Series) remedy() string {
	zone := ""
	if s.Zone > 0 {
		zone = fmt.Sprintf(" in zone %d", s.Zone)
	}
	switch of := clean(s.Colorant); s.Kind {
	case RegisterX, RegisterY:
		return strings.TrimSpace("the register of " + of)
	case ToneIncrease:
		return "pressure, blanket and dampening of " + of
	case MidtoneSpread:
		return "the balance of cyan, magenta and yellow"
	case InkZone:
		return "the ink key of " + of + zone
	default:
		if s.Colorant == Paper {
			return "the stock, or the backing of the instrument"
		}
		return "the ink feed of " + of + zone
	}
}
