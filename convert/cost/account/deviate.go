package account

import (
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"quoin/convert/cost"
)

const (
	// causesTold is how many causes the words of a deviation name.
	causesTold = 3
	// deviationsTold is how many deviations a statement has: what nobody reads to the
	// end hides the worst.
	deviationsTold = 100
)

// parts are the columns of the variance by the names that they have.
var parts = []struct {
	name string
	at   column
}{
	{"quantity", colQuantity}, {"time", colTime}, {"rate", colRate}, {"waste", colWaste},
	{"changeover", colChangeover}, {"scope", colScope},
}

// dear is a piece of work by how much it cost beyond its plan.
type dear struct {
	*piece
	off exact // times hour
}

func (d dear) compare(e dear) int {
	if order := e.off.Cmp(d.off); order != 0 {
		return order
	}
	return d.work.compare(e.work)
}

// sumDeviations keeps the pieces of work of planned jobs that cost most beyond the plan.
func (m *maker) sumDeviations() {
	planned := map[string]bool{}
	for _, l := range m.lines {
		planned[l.job] = planned[l.job] || l.plan.known
	}
	ofLine := map[*line][]*good{}
	for _, g := range m.goods {
		if len(g.lines) == 1 {
			ofLine[g.lines[0]] = append(ofLine[g.lines[0]], g)
		}
	}
	for _, l := range m.lines {
		if l.job == "" {
			continue
		}
		var off exact
		known := planned[l.job]
		for _, g := range l.groups {
			off = plus(off, g.money.variance())
			known = known || g.plan.known
		}
		if !known || len(l.groups) == 0 {
			continue
		}
		d := dear{&piece{line: l}, off}
		at, _ := slices.BinarySearchFunc(m.dear, d, dear.compare)
		if at == deviationsTold {
			continue
		}
		d.piece = m.account(l, ofLine[l])
		m.dear = slices.Insert(m.dear, at, d)
		m.dear = m.dear[:min(deviationsTold, len(m.dear))]
	}
}

// writeDeviations explains the dearest pieces of work. A deviation is rounded by
// itself, so that it may differ by a unit of the last place from the lines of a
// statement.
func (m *maker) writeDeviations(s *Statement) {
	for _, d := range m.dear {
		shown := d.exact.rounded(s.Places)
		if out := m.deviation(d.piece, &shown); !out.Variance.Total.IsZero() {
			s.Deviations = append(s.Deviations, out)
		}
	}
}

// piece is a line as far as the filter takes it.
type piece struct {
	*line
	exact    sums // in currency
	customer string
	sum      group
	goods    []*good
	reasons  map[string]cost.Span
}

func (m *maker) account(l *line, goods []*good) *piece {
	p := &piece{line: l, goods: goods, customer: m.orders[l.job].Customer, reasons: map[string]cost.Span{}}
	var money sums
	for _, g := range l.groups {
		money.addAll(&g.money)
		for k := range kindsOfTime {
			p.sum.times[k] += g.times[k]
			p.sum.phases[k] += g.phases[k]
		}
		p.sum.good, p.sum.waste = plus(p.sum.good, g.good), plus(p.sum.waste, g.waste)
		p.sum.plan.makeready += g.plan.makeready
		p.sum.plan.run += g.plan.run
		p.sum.plan.washUp += g.plan.washUp
		p.sum.plan.good = p.sum.plan.good.Add(g.plan.good)
		for reason, t := range g.reasons {
			p.reasons[reason] += t
		}
	}
	p.exact = money.currency()
	return p
}

func (m *maker) deviation(p *piece, shown *sums) Deviation {
	d := Deviation{Job: p.job, Part: p.part, Device: p.device, Customer: p.customer, Causes: []Cause{}}
	actual, plan, variance, extra := shown.write()
	d.Actual, d.Plan, d.Variance = actual.Total, plan.Total, variance
	d.Only = m.filter
	d.Only.Jobs, d.Only.Devices = []string{p.job}, []string{p.device}
	for _, part := range parts {
		if amount := shown[part.at].decimal(); !amount.IsZero() {
			d.Causes = append(d.Causes, Cause{part.name, amount, p.why(part.at, extra, m.money)})
		}
	}
	slices.SortStableFunc(d.Causes, func(a, b Cause) int { return b.Amount.Abs().Cmp(a.Amount.Abs()) })
	d.Words = m.words(d)
	return d
}

// words tells a deviation in one sentence.
func (m *maker) words(d Deviation) string {
	way := "more"
	if d.Variance.Total.IsNegative() {
		way = "less"
	}
	on := ""
	if d.Device != "" {
		on = " on " + d.Device
	}
	text := fmt.Sprintf("job %q%s cost %s %s %s than planned, %s for %s", d.Job, on,
		m.money(d.Variance.Total.Abs()), m.plant.Currency, way, m.money(d.Actual), m.money(d.Plan))
	var causes []string
	for _, c := range d.Causes[:min(causesTold, len(d.Causes))] {
		cause := c.Part + " " + m.signed(c.Amount)
		if c.Words != "" {
			cause += " (" + c.Words + ")"
		}
		causes = append(causes, cause)
	}
	if more := len(d.Causes) - causesTold; more > 0 {
		causes = append(causes, fmt.Sprintf("and %d more", more))
	}
	return text + ": " + strings.Join(causes, "; ")
}

func (m *maker) money(d decimal.Decimal) string { return d.StringFixed(m.plant.Places) }

func (m *maker) signed(d decimal.Decimal) string {
	if d.IsPositive() {
		return "+" + m.money(d)
	}
	return m.money(d)
}

// why tells what a part of the variance comes of.
func (p *piece) why(part column, extra Extra, money func(decimal.Decimal) string) string {
	var all []string
	say := func(format string, args ...any) { all = append(all, fmt.Sprintf(format, args...)) }
	switch part {
	case colQuantity:
		if p.counts() {
			say("made %s good, planned %s", whole(p.sum.good), whole(p.sum.plan.good))
		}
	case colWaste:
		if p.counts() {
			say("wasted %s, the plan grants %s", whole(p.sum.waste),
				whole(p.line.plan.in.Mul(p.sum.good).DivRound(p.line.plan.good, 0).Sub(p.sum.good)))
		}
	case colTime:
		p.whyTime(say)
	case colChangeover:
		p.whyChangeover(say)
	case colRate:
		switch {
		case extra.Premiums.IsPositive():
			say("premiums of shifts and overtime %s", money(extra.Premiums))
		case p.cells == 0:
			say("price of what was bought outside")
		default:
			say("other rates or prices than planned")
		}
	case colScope:
		switch {
		case !p.line.plan.known:
			say("no plan has this work")
		case p.cells == 0:
			say("planned, and nothing is reported of it")
		}
	}
	for _, g := range p.goods {
		if amount := g.split[part-colQuantity]; !amount.IsZero() && !g.used.Equal(g.planned) {
			say("%s %s %s, planned %s", g.kind, whole(g.used), g.unit, whole(g.planned))
		}
	}
	return strings.Join(all, ", ")
}

type sayer func(format string, args ...any)

func (p *piece) whyTime(say sayer) {
	times := &p.sum.times
	granted := p.sum.plan.run
	if p.counts() {
		granted = cost.Span(span(p.line.plan.run).Mul(p.sum.made()).DivRound(p.line.plan.in, 0).IntPart())
	}
	if times[run] != granted {
		say("run took %s in %s, the plan grants %s for what was made", times[run].Clock(),
			phases(p.sum.phases[run]), granted.Clock())
	}
	if times[stopped] > 0 {
		say("stopped for %s in %s%s", times[stopped].Clock(), phases(p.sum.phases[stopped]), p.worstReason())
	}
	if times[idle] > 0 {
		say("idle for %s", times[idle].Clock())
	}
}

// worstReason is the reason of the longest stops.
func (p *piece) worstReason() string {
	worst, most := "", cost.Span(0)
	for _, reason := range sortedKeys(p.reasons) {
		if t := p.reasons[reason]; reason != "" && t > most {
			worst, most = reason, t
		}
	}
	if worst == "" {
		return ""
	}
	return fmt.Sprintf(", of which %s for %q", most.Clock(), worst)
}

func (p *piece) whyChangeover(say sayer) {
	for _, of := range []struct {
		name    string
		kind    kindOfTime
		planned cost.Span
	}{{"makeready", makeready, p.sum.plan.makeready}, {"wash-up", washUp, p.sum.plan.washUp}} {
		switch took := p.sum.times[of.kind]; {
		case took == of.planned:
		case took == 0:
			say("no %s is reported, planned %s", of.name, of.planned.Clock())
		default:
			say("%s took %s in %s, planned %s", of.name, took.Clock(), phases(p.sum.phases[of.kind]), of.planned.Clock())
		}
	}
}

func phases(n int) string {
	if n == 1 {
		return "1 phase"
	}
	return fmt.Sprintf("%d phases", n)
}

// whole writes a quantity for people: whole pieces, or two decimals of less than ten.
func whole(d exact) string {
	if d.Abs().LessThan(num(10)) {
		return d.Round(2).decimal().String()
	}
	return d.Round(0).decimal().String()
}
