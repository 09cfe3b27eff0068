package diff

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"quoin/jdf/job"
	"quoin/jdf/value"
)

// say adds a fact where the ticket has it.
func say[T any](list []fact, area Area, name string, f job.Fact[T], write func(T) string) []fact {
	if !f.Given {
		return list
	}
	said := fact{area: area, name: name, value: write(f.Value), place: f.Place}
	if d, ok := any(f.Value).(value.DateTime); ok && d.HasZone && d.Infinite == 0 {
		said.same = d.Time().UTC().Format(time.RFC3339Nano)
	}
	return append(list, said)
}

func plain(s string) string            { return s }
func whole(n int) string               { return strconv.Itoa(n) }
func number(d decimal.Decimal) string  { return d.String() }
func names(list []string) string       { return strings.Join(list, ", ") }
func date(d value.DateTime) string     { return d.String() }
func duration(d value.Duration) string { return d.String() }

// mm writes a length in millimetres, to a hundredth.
func mm(l value.Length) string {
	return strconv.FormatFloat(math.Round(l.MM()*100)/100, 'f', -1, 64)
}

func length(l value.Length) string { return mm(l) + " mm" }

func pair(p value.XYPair) string {
	return mm(value.Length(p.X)) + " × " + mm(value.Length(p.Y)) + " mm"
}

// shape writes width and height, and the depth where there is one.
func shape(s value.Shape) string {
	if s.Z == 0 {
		return pair(value.XYPair{X: s.X, Y: s.Y})
	}
	return mm(value.Length(s.X)) + " × " + mm(value.Length(s.Y)) + " × " + mm(value.Length(s.Z)) + " mm"
}

func box(r value.Rectangle) string {
	return fmt.Sprintf("%s × %s mm at %s, %s", mm(value.Length(r.URX-r.LLX)), mm(value.Length(r.URY-r.LLY)),
		mm(value.Length(r.LLX)), mm(value.Length(r.LLY)))
}

func grammage(f float64) string { return value.FormatDouble(f) + " g/m²" }
func caliper(f float64) string  { return value.FormatDouble(f) + " µm" }
func speed(d decimal.Decimal) string {
	return d.String() + " sheets/h"
}

func percent(d decimal.Decimal) string { return d.String() + " %" }
func sides(s job.Sides) string         { return s.String() }

func jobFacts(j *job.Job) []fact {
	var f []fact
	f = say(f, AreaJob, "job", j.ID, plain)
	f = say(f, AreaJob, "name", j.Name, plain)
	f = say(f, AreaJob, "project", j.Project, plain)
	f = say(f, AreaCustomer, "customer", j.Customer.Name, plain)
	f = say(f, AreaCustomer, "customer number", j.Customer.ID, plain)
	f = say(f, AreaCustomer, "order", j.Customer.Order, plain)
	f = say(f, AreaCustomer, "customer's name for the job", j.Customer.JobName, plain)
	return append(f, schedule(j.Schedule)...)
}

func schedule(s job.Schedule) []fact {
	var f []fact
	f = say(f, AreaDate, "not before", s.FirstStart, date)
	f = say(f, AreaDate, "start", s.Start, date)
	f = say(f, AreaDate, "end", s.End, date)
	f = say(f, AreaDate, "not after", s.LastEnd, date)
	f = say(f, AreaDate, "setup", s.Setup, duration)
	f = say(f, AreaDate, "total time", s.Total, duration)
	return say(f, AreaDate, "priority", s.Priority, whole)
}

func amounts(area Area, prefix string, a job.Amounts) []fact {
	var f []fact
	f = say(f, area, prefix+"amount", a.Good, number)
	f = say(f, area, prefix+"waste", a.Waste, number)
	f = say(f, area, prefix+"least amount", a.Min, number)
	return say(f, area, prefix+"most amount", a.Max, number)
}

func stock(prefix string, s job.Stock) []fact {
	var f []fact
	f = say(f, AreaStock, prefix+"material", s.Type, plain)
	f = say(f, AreaStock, prefix+"weight", s.Weight, grammage)
	f = say(f, AreaStock, prefix+"thickness", s.Thickness, caliper)
	f = say(f, AreaStock, prefix+"coating", s.FrontCoating, plain)
	f = say(f, AreaStock, prefix+"back coating", s.BackCoating, plain)
	f = say(f, AreaStock, prefix+"grain", s.Grain, plain)
	f = say(f, AreaStock, prefix+"quality", s.Quality, plain)
	return say(f, AreaStock, prefix+"brand", s.Brand, plain)
}

func productFacts(p *job.Product) []fact {
	f := amounts(AreaAmount, "", p.Amount)
	f = say(f, AreaProduct, "name", p.Name, plain)
	f = say(f, AreaSize, "finished size", p.Size, shape)
	f = say(f, AreaSize, "open size", p.Flat, pair)
	f = say(f, AreaSize, "bleed", p.Bleed, length)
	f = say(f, AreaPages, "pages", p.Pages, whole)
	f = say(f, AreaPages, "sides", p.Sides, sides)
	f = append(f, stock("", p.Media.Stock)...)
	f = append(f, surface("front", p.Front)...)
	f = append(f, surface("back", p.Back)...)
	f = say(f, AreaFinish, "fold", p.Fold, plain)
	f = say(f, AreaFinish, "binding", p.Binding.Type, plain)
	f = say(f, AreaFinish, "binding side", p.Binding.Side, plain)
	f = say(f, AreaFinish, "stitches", p.Binding.Stitches, whole)
	f = say(f, AreaFinish, "laminated side", p.Lamination.Surface, plain)
	f = say(f, AreaFinish, "lamination", p.Lamination.Texture, plain)
	return say(f, AreaDate, "due", p.Due, date)
}

func surface(side string, s job.Surface) []fact {
	var f []fact
	f = say(f, AreaColours, side+" colours", s.Colors, names)
	f = say(f, AreaColours, side+" coating", s.Coatings, names)
	return say(f, AreaColours, side+" coverage", s.Coverage, percent)
}

// stepFacts tells of a step. Dates that it has from the job as a whole are told
// there.
func stepFacts(op *job.Operation, j *job.Job) []fact {
	f := slices.DeleteFunc(schedule(op.Schedule), func(own fact) bool {
		return slices.ContainsFunc(schedule(j.Schedule), func(g fact) bool { return g.place == own.place })
	})
	f = say(f, AreaColours, "front colours", op.Front, names)
	f = say(f, AreaColours, "back colours", op.Back, names)
	for i, d := range op.Devices {
		f = say(f, AreaDevice, numbered("device", i), d.ID, plain)
	}
	if p := op.Printing; p != nil {
		f = say(f, AreaStep, "work style", p.WorkStyle, plain)
		f = say(f, AreaStep, "drying", p.Drying, plain)
		f = say(f, AreaStep, "speed", p.Speed, speed)
		f = say(f, AreaStep, "sides", p.Sides, sides)
	}
	if p := op.Folding; p != nil {
		f = say(f, AreaFinish, "fold", p.Catalog, plain)
	}
	if p := op.Stitching; p != nil {
		f = say(f, AreaFinish, "stitching", p.Type, plain)
		f = say(f, AreaFinish, "stitches", p.Count, whole)
	}
	if p := op.Trimming; p != nil {
		f = say(f, AreaSize, "trimmed width", p.Width, length)
		f = say(f, AreaSize, "trimmed height", p.Height, length)
	}
	if p := op.Varnish; p != nil {
		f = say(f, AreaFinish, "varnishing", p.Method, plain)
		f = say(f, AreaFinish, "varnished area", p.Area, plain)
	}
	if p := op.Cutting; p != nil {
		for i, b := range p.Blocks {
			f = say(f, AreaSize, "block "+b.Name.Or(strconv.Itoa(i+1)), b.Box, box)
		}
	}
	f = append(f, uses("takes ", op.Inputs)...)
	return append(f, uses("makes ", op.Outputs)...)
}

// uses tells of materials and what is made of them.
func uses(verb string, list []*job.Use) []fact {
	var f []fact
	count := map[string]int{}
	for _, u := range list {
		if u.Media == nil && u.Component == nil {
			continue
		}
		name := verb + strings.ToLower(u.Kind)
		if part := u.Part.String(); part != "" {
			name += " " + part
		}
		count[name]++
		name = numbered(name, count[name]-1) + ": "
		f = append(f, amounts(AreaAmount, name, *u.Amounts)...)
		if u.Media != nil {
			f = append(f, stock(name, u.Media.Stock)...)
			f = say(f, AreaSize, name+"size", u.Media.Size, pair)
			continue
		}
		f = say(f, AreaSize, name+"size", u.Component.Size, shape)
		if u.Component.Media != nil {
			f = append(f, stock(name, u.Component.Media.Stock)...)
		}
	}
	return f
}

func numbered(name string, i int) string {
	if i == 0 {
		return name
	}
	return name + " " + strconv.Itoa(i+1)
}
