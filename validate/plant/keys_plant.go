package plant

import (
	"time"

	"github.com/shopspring/decimal"
	"go.yaml.in/yaml/v3"

	"quoin/validate"
)

// The schemas are functions, since the tables they return refer to each other
// and are not to be changed by anybody.

func plantSchema() schema[Plant] {
	factor := amount("a factor such as 1.0", dimension{bare: true})
	own := []key[Plant]{
		need("name", text, func(p *Plant) *string { return &p.Name }, "name of the works"),
		need("currency", currency, func(p *Plant) *string { return &p.Currency },
			"of all prices and rates, as ISO 4217 has it"),
		need("decimal places", places, func(p *Plant) *int32 { return &p.Places },
			"that money is rounded to, once, when it is shown"),
		need("delivery tolerance", share(100), func(p *Plant) *decimal.Decimal { return &p.Tolerance },
			"over and under the quantity ordered that customers accept"),
		need("compounding", oneOf(Yield, MarkUp), func(p *Plant) *Compounding { return &p.Compounding },
			"what percentages of waste are of: yield, of the input; mark-up, of the output"),
		need("bleed", length, func(p *Plant) *Length { return &p.Bleed }, "where a ticket gives none"),
		need("gutter", length, func(p *Plant) *Length { return &p.Gutter }, "between pieces that bleed"),
		need("grind-off", length, func(p *Plant) *Length { return &p.GrindOff },
			"milled off the spine before gluing"),
		need("creep factor", factor, func(p *Plant) *decimal.Decimal { return &p.CreepFactor },
			"times caliper and sheets inside, the push-out of saddle stitching"),
		need("ink coverage", share(100), func(p *Plant) *decimal.Decimal { return &p.Coverage },
			"mean coverage of a side by each colour, where a ticket gives none"),
		may("time zone", zone, func(p *Plant) **time.Location { return &p.Zone },
			"of shifts and holidays; UTC when not given"),
		may("holidays", days, func(p *Plant) *[]Day { return &p.Holidays }, "days on which nothing runs"),
		may("score from", group("score from", scoreSchema()), func(p *Plant) *Score { return &p.Score },
			"grammages from which a fold is creased before; none when not given"),
		may("pallet", group("pallet", palletSchema()), func(p *Plant) *Pallet { return &p.Pallet },
			"that goods are delivered on"),
		need("cost centres", entries("cost centres", "cost centre", centreSchema(),
			func(c *CostCentre) string { return c.ID }),
			func(p *Plant) *[]*CostCentre { return &p.CostCentres }, "places where time costs money"),
	}
	return schema[Plant]{name: "plant file", keys: append(own, machineLists()...), senses: []sense[Plant]{
		{"gutter", func(p *Plant) string {
			if p.Gutter < 2*p.Bleed {
				return "the gutter is " + p.Gutter.String() + ", less than twice the bleed of " + p.Bleed.String()
			}
			return ""
		}},
	}, mark: func(p *Plant) *Mark { return &p.mark }}
}

func machineLists() []key[Plant] {
	return []key[Plant]{
		may("presses", machines("presses", pressSchema(), func(m *Press) *Machine { return &m.Machine }),
			func(p *Plant) *[]*Press { return &p.Presses }, "printing presses"),
		may("guillotines", machines("guillotines", guillotineSchema(),
			func(m *Guillotine) *Machine { return &m.Machine }),
			func(p *Plant) *[]*Guillotine { return &p.Guillotines }, "pile cutters"),
		may("folders", machines("folders", folderSchema(), func(m *Folder) *Machine { return &m.Machine }),
			func(p *Plant) *[]*Folder { return &p.Folders }, "folding machines"),
		may("stitchers", machines("stitchers", stitcherSchema(), func(m *Stitcher) *Machine { return &m.Machine }),
			func(p *Plant) *[]*Stitcher { return &p.Stitchers }, "gatherers and saddle stitchers"),
		may("binders", machines("binders", binderSchema(), func(m *Binder) *Machine { return &m.Machine }),
			func(p *Plant) *[]*Binder { return &p.Binders }, "perfect binders"),
		may("die cutters", machines("die cutters", dieCutterSchema(),
			func(m *DieCutter) *Machine { return &m.Machine }),
			func(p *Plant) *[]*DieCutter { return &p.DieCutters }, "platens that cut and crease"),
		may("laminators", machines("laminators", laminatorSchema(),
			func(m *Laminator) *Machine { return &m.Machine }),
			func(p *Plant) *[]*Laminator { return &p.Laminators }, "machines that lay film"),
		may("coaters", machines("coaters", coaterSchema(), func(m *Coater) *Machine { return &m.Machine }),
			func(p *Plant) *[]*Coater { return &p.Coaters }, "coating machines that stand by themselves"),
		may("hand work", machines("hand work", handWorkSchema(), func(m *HandWork) *Machine { return &m.Machine }),
			func(p *Plant) *[]*HandWork { return &p.HandWork }, "what is done without a machine"),
		may("stocks", entries("stocks", "stock", stockSchema(), func(m *Stock) string { return m.ID }),
			func(p *Plant) *[]*Stock { return &p.Stocks }, "papers and boards that can be had"),
		may("inks", entries("inks", "ink", inkSchema(), func(m *Ink) string { return m.ID }),
			func(p *Plant) *[]*Ink { return &p.Inks }, "inks and coatings that can be had"),
		may("colour", colourGroup(), func(p *Plant) **Colour { return &p.Colour },
			"aims and tolerances of printing; nothing measured is judged when not given"),
		may("alerts", alertsGroup(), func(p *Plant) **Alerts { return &p.Alerts },
			"when people are told that something goes wrong; never when not given"),
	}
}

// machines is a list of machines; a DeviceID names one of all sorts.
func machines[T any](list string, s schema[T], m func(*T) *Machine) kind[[]*T] {
	return entries(list, "machine", s, func(t *T) string { return m(t).ID })
}

// places is how many decimals a currency has.
var places = scalar("a number from 0 to 6", func(_ *reader, text string) (int32, *fault) {
	n, bad := dimension{bare: true}.read(text)
	i, bad := whole(n, bad, "")
	if bad == nil && i > 6 {
		bad = badSense("no currency has more than 6")
	}
	return int32(i), bad
})

var hourly = money("a rate such as 95.00 EUR/h", "/h", "per h", "per hour")

func centreSchema() schema[CostCentre] {
	return schema[CostCentre]{name: "cost centre", keys: []key[CostCentre]{
		need("id", word, func(c *CostCentre) *string { return &c.ID }, "what machines and audits call it"),
		may("name", text, func(c *CostCentre) *string { return &c.Name }, "for readers"),
		need("makeready", hourly, func(c *CostCentre) *decimal.Decimal { return &c.Makeready },
			"rate of setting up and washing"),
		need("run", hourly, func(c *CostCentre) *decimal.Decimal { return &c.Run }, "rate of production"),
		need("idle", hourly, func(c *CostCentre) *decimal.Decimal { return &c.Idle },
			"rate of waiting that a job has to bear"),
		may("crew", count("a count such as 2", 1, "people"), func(c *CostCentre) *int { return &c.Crew },
			"people who work there at once; one when not given"),
		may("crew wage", hourly, func(c *CostCentre) *decimal.Decimal { return &c.Wage },
			"of one of the crew, within the rates; what premiums are paid on"),
		may("shifts", shifts, func(c *CostCentre) *[]Shift { return &c.Shifts }, "when it is manned"),
		may("overtime", premium, func(c *CostCentre) *decimal.Decimal { return &c.Overtime },
			"premium of time outside the shifts and on holidays, as that of a shift"),
	}, fresh: func(c *CostCentre) { c.Crew = 1 }, mark: func(c *CostCentre) *Mark { return &c.Mark }}
}

// centre is a reference to a cost centre by its id. Cost centres stand before
// machines in the table, so that they are known here.
var centre = kind[*CostCentre]{"the id of a cost centre", outline{},
	func(r *reader, n *yaml.Node, path string) (*CostCentre, bool) {
		n, id, ok := r.text(n, path, "the id of a cost centre")
		if !ok {
			return nil, false
		}
		var ids []string
		for _, c := range r.plant.CostCentres {
			if c.ID == id {
				return c, true
			}
			ids = append(ids, c.ID)
		}
		known := validate.Choices(ids)
		if known == "" {
			known = "one that is listed under \"cost centres\""
		}
		r.report(unknownCentre, n, path, validate.F("got", clip(id)), validate.F("choices", known), nearFact(id, ids))
		return nil, false
	}}

// machineKeys are the keys that every machine begins with.
func machineKeys[T any](m func(*T) *Machine, more ...[]key[T]) []key[T] {
	keys := []key[T]{
		need("id", word, func(t *T) *string { return &m(t).ID }, "DeviceID in tickets and messages"),
		may("name", text, func(t *T) *string { return &m(t).Name }, "for readers"),
		need("cost centre", centre, func(t *T) **CostCentre { return &m(t).CostCentre },
			"id of the cost centre that its hours are charged at"),
		may("connection", group("connection", connectionSchema()), func(t *T) *Connection { return &m(t).Connection },
			"how the service reaches it; people carry its tickets when not given"),
	}
	for _, k := range more {
		keys = append(keys, k...)
	}
	return keys
}

func spoilageSchema(outputs, each string) schema[Spoilage] {
	return schema[Spoilage]{name: "waste", keys: []key[Spoilage]{
		may("setup", count("a count such as 40 sheets", 0, "sheets", "pieces"),
			func(s *Spoilage) *int { return &s.Setup }, "wasted by a makeready"),
		may("setup per unit", count("a count such as 20 sheets", 0, "sheets", "pieces"),
			func(s *Spoilage) *int { return &s.SetupPerUnit }, "and for each "+each+" beside"),
		may("later setup", share(100), func(s *Spoilage) *decimal.Decimal { return &s.Later },
			"share of the setup waste for each further makeready of a job; 100 % when not given"),
		need("running", steps("1000 "+outputs, counted("sheets", "pieces", "copies"), share(99)),
			func(s *Spoilage) *[]Step { return &s.Running }, "wasted while running, by output"),
	}}
}

// waste reads a Spoilage; each says what a unit is.
func waste(outputs, each string) kind[Spoilage] {
	k := group("waste", spoilageSchema(outputs, each))
	read := k.read
	k.read = func(r *reader, n *yaml.Node, path string) (Spoilage, bool) {
		s, ok := read(r, n, path)
		if _, given := r.mark.Keys[r.prefix+"waste / later setup"]; !given {
			s.Later = decimal.NewFromInt(100)
		}
		return s, ok
	}
	return k
}
