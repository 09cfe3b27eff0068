package cost

import (
	"cmp"
	"slices"
	"time"

	"github.com/shopspring/decimal"

	"quoin/jdf/job"
	"quoin/validate"
	"quoin/validate/plant"
)

// Report prices a ledger with the rates of a plant. Makeready and wash-up cost
// the makeready rate, run the run rate, idle and stopped time the idle rate of
// the cost centre that the record names, or else that of the device in the
// plant file. Time without a known rate is counted and not priced; a finding
// says why. Plans are by job id; nil is no plan.
func Report(l *Ledger, p *plant.Plant, plans map[string][]Planned) (*Costs, []validate.Finding) {
	r := &reporter{
		plant:    p,
		machines: map[string]*plant.Machine{},
		centres:  map[string]*plant.CostCentre{},
		lines:    map[lineKey]*line{},
		said:     map[string]bool{},
	}
	for _, m := range p.Machines() {
		r.machines[m.ID] = m
	}
	for _, c := range p.CostCentres {
		r.centres[c.ID] = c
	}
	for _, e := range l.Entries {
		r.entry(e)
	}
	for id, plan := range plans {
		r.plan(id, plan)
	}
	costs := &Costs{
		Plant: p.Name, Currency: p.Currency, Places: p.Places,
		Jobs: []Job{}, Centres: []Centre{}, Devices: []Device{}, // lists in JSON, also where empty
	}
	r.jobs(costs, l)
	r.byCentre(costs)
	r.byDevice(costs, l, plans)
	r.findings.Finish()
	return costs, r.findings.Findings
}

type lineKey struct{ job, device, centre string }

func (k lineKey) compare(m lineKey) int {
	return cmp.Or(cmp.Compare(k.job, m.job), cmp.Compare(k.device, m.device), cmp.Compare(k.centre, m.centre))
}

// line is a line before rounding; money is in currency x nanoseconds an hour.
type line struct {
	Figures
	Made
	cost, extra decimal.Decimal
	first       time.Time // start of its first phase; zero when there is only a plan
	planned     *Planned
}

type reporter struct {
	plant    *plant.Plant
	machines map[string]*plant.Machine
	centres  map[string]*plant.CostCentre
	lines    map[lineKey]*line
	findings validate.Report
	said     map[string]bool // devices and cost centres that a finding told of
}

// once reports what holds for all entries of a device or cost centre at the first.
func (r *reporter) once(name string, f validate.Finding) {
	if key := f.Rule.ID + " " + name; !r.said[key] {
		r.said[key] = true
		r.findings.Add(f)
	}
}

func (r *reporter) line(key lineKey) *line {
	l := r.lines[key]
	if l == nil {
		l = &line{}
		r.lines[key] = l
	}
	return l
}

func (r *reporter) entry(e Entry) {
	centre := r.centre(e)
	key := lineKey{job: e.Job, device: e.Device}
	if centre != nil {
		key.centre = centre.ID
	}
	l := r.line(key)
	if l.first.IsZero() || e.Start.Before(l.first) {
		l.first = e.Start
	}
	l.Times = l.Times.plus(timesOf(e))
	l.Made = l.Made.plus(Made{e.Good, e.Waste})
	rate, priced := rateOf(centre, e.State)
	if !priced {
		l.Unpriced = l.Unpriced.plus(e.Time)
		return
	}
	cost := rate.Mul(decimal.NewFromInt(int64(e.Time)))
	l.cost = l.cost.Add(cost)
	if e.Work == "Alteration" || e.Work == "Rework" {
		l.extra = l.extra.Add(cost)
	}
}

func timesOf(e Entry) Times {
	switch e.State {
	case job.StateMakeready:
		return Times{Makeready: e.Time}
	case job.StateRun:
		return Times{Run: e.Time}
	case job.StateWash:
		return Times{WashUp: e.Time}
	case job.StateIdle:
		return Times{Idle: e.Time}
	case job.StateStopped:
		return Times{Stopped: e.Time}
	}
	return Times{Unknown: e.Time}
}

func rateOf(c *plant.CostCentre, s job.State) (rate decimal.Decimal, priced bool) {
	if c == nil {
		return decimal.Zero, false
	}
	switch s {
	case job.StateMakeready, job.StateWash:
		return c.Makeready, true
	case job.StateRun:
		return c.Run, true
	case job.StateIdle, job.StateStopped:
		return c.Idle, true
	}
	return decimal.Zero, false
}

// centre is the cost centre that prices an entry, or nil.
func (r *reporter) centre(e Entry) *plant.CostCentre {
	at, device := e.Source.Place, validate.F("device", e.Device)
	if e.CostCentre != "" {
		if c := r.centres[e.CostCentre]; c != nil {
			return c
		}
		r.once(e.CostCentre, ruleUnknownCentre.At(at, validate.F("centre", e.CostCentre),
			validate.F("choices", validate.Choices(keys(r.centres)))))
	}
	if e.Device == "" {
		return nil // reported when it was collected
	}
	m := r.machines[e.Device]
	if m == nil {
		near := ""
		if word := validate.Nearest(e.Device, keys(r.machines)); word != "" {
			near = ", which has " + word
		}
		r.once(e.Device, ruleUnknownDevice.At(at, device, validate.F("near", near)))
		return nil
	}
	if m.CostCentre == nil {
		r.once(e.Device, ruleNoCentre.At(at, device))
	}
	return m.CostCentre
}

func keys[T any](m map[string]T) []string {
	all := make([]string, 0, len(m))
	for k := range m {
		all = append(all, k)
	}
	slices.Sort(all)
	return all
}

// plan puts the plan of a job beside what was reported. Where a device has
// lines of several cost centres, it stands with the first.
func (r *reporter) plan(id string, plan []Planned) {
	byDevice := map[string]Planned{}
	for _, p := range plan {
		sum := byDevice[p.Device].plus(p)
		sum.Device = p.Device
		byDevice[p.Device] = sum
	}
	for device, p := range byDevice {
		var at *lineKey
		for key := range r.lines {
			if key.job == id && key.device == device && (at == nil || key.compare(*at) < 0) {
				at = &key
			}
		}
		if at == nil {
			at = &lineKey{job: id, device: device}
			if m := r.machines[device]; m != nil && m.CostCentre != nil {
				at.centre = m.CostCentre.ID
			}
		}
		r.line(*at).planned = &p
	}
}

// hour is what money is divided by to come from rates an hour to costs.
var hour = decimal.NewFromInt(int64(time.Hour))

// inTurn orders lines by job, and within it as the work went: devices that only
// a plan names come last.
func (r *reporter) inTurn(a, b lineKey) int {
	s, t := r.lines[a].first, r.lines[b].first
	turn := s.Compare(t)
	if s.IsZero() != t.IsZero() {
		turn = -turn
	}
	return cmp.Or(cmp.Compare(a.job, b.job), turn, a.compare(b))
}

// jobs rounds the lines and adds them up by job.
func (r *reporter) jobs(costs *Costs, l *Ledger) {
	order := make([]lineKey, 0, len(r.lines))
	for key := range r.lines {
		order = append(order, key)
	}
	slices.SortFunc(order, r.inTurn)
	uses := map[string][]Use{}
	for _, u := range l.Uses {
		uses[u.Job] = append(uses[u.Job], u)
	}
	for _, key := range order {
		from := r.lines[key]
		from.Cost = from.cost.DivRound(hour, r.plant.Places)
		from.Extra = from.extra.DivRound(hour, r.plant.Places)
		if n := len(costs.Jobs); n == 0 || costs.Jobs[n-1].ID != key.job {
			costs.Jobs = append(costs.Jobs, Job{ID: key.job, Uses: uses[key.job]})
		}
		j := &costs.Jobs[len(costs.Jobs)-1]
		to := Line{Device: key.device, Centre: key.centre, Figures: from.Figures, Made: from.Made, Planned: from.planned}
		if m := r.machines[key.device]; m != nil {
			to.Name = m.Name
		}
		j.Lines = append(j.Lines, to)
		j.Total = j.Total.plus(to.Figures)
		if p := to.Planned; p != nil {
			if j.Planned == nil {
				j.Planned = &PlannedTotal{}
			}
			sum := j.Planned
			sum.Makeready, sum.Run, sum.Cost = sum.Makeready.plus(p.Makeready), sum.Run.plus(p.Run), sum.Cost.Add(p.Cost)
		}
		costs.Total = costs.Total.plus(to.Figures)
	}
}
