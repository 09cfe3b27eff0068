package compose

import (
	"github.com/beevik/etree"
	"github.com/shopspring/decimal"

	"quoin/jdf/message"
)

// SignalResource writes a Resource signal: what was used or made. The refID is
// as in SignalStatus. A message is about one device, and in JMF about one job
// and part; reports that differ in these become messages of their own. It gives
// the ID of the first.
func (e *Envelope) SignalResource(refID string, reports ...ResourceReport) string {
	first := ""
	for {
		n := e.together(reports)
		id := e.signalResource(refID, reports[:n])
		if first == "" {
			first = id
		}
		if reports = reports[n:]; len(reports) == 0 {
			return first
		}
	}
}

// together counts the reports at the head that one message can tell.
func (e *Envelope) together(reports []ResourceReport) int {
	for i, r := range reports {
		f := reports[0]
		if r.Device != f.Device || e.first() && (r.JobID != f.JobID || r.PartID != f.PartID || r.Entry != f.Entry) {
			return i
		}
	}
	return len(reports)
}

func (e *Envelope) signalResource(refID string, reports []ResourceReport) string {
	a := about{family: message.Signal, kind: "Resource", refID: refID}
	if len(reports) > 0 {
		a.device = reports[0].Device
	}
	m, id := e.message(a)
	if e.first() && len(reports) > 0 {
		r := reports[0]
		p := m.CreateElement("ResourceQuParams")
		e.set(p, 0, "JobID", r.JobID)
		e.set(p, 0, "JobPartID", r.PartID)
		e.set(p, 2, "QueueEntryID", r.Entry)
	}
	for _, r := range reports {
		e.resourceInfo(m, r)
	}
	return id
}

func (e *Envelope) resourceInfo(to *etree.Element, r ResourceReport) {
	if e.first() {
		e.firstResource(to, r)
		return
	}
	info := to.CreateElement("ResourceInfo")
	e.token(info, "JobID", r.JobID)
	e.token(info, "JobPartID", r.PartID)
	e.set(info, 0, "Level", r.Level)
	e.token(info, "ModuleID", r.Module)
	e.token(info, "QueueEntryID", r.Entry)
	e.set(info, 0, "Scope", r.Scope)
	set := info.CreateElement("ResourceSet")
	e.token(set, "Name", r.Kind)
	e.token(set, "Unit", r.Unit)
	e.set(set, 0, "Usage", r.Usage)
	if len(r.Amounts) == 0 && r.ProductID == "" {
		return
	}
	res := set.CreateElement("Resource")
	e.token(res, "ExternalID", r.ProductID)
	if len(r.Amounts) == 0 {
		return
	}
	pool := res.CreateElement("AmountPool")
	for _, a := range r.Amounts {
		pa := pool.CreateElement("PartAmount")
		e.number(pa, 0, "Amount", a.Good)
		e.number(pa, 0, "Waste", a.Waste)
		e.partOfLot(pa, a, "")
	}
}

// partOfLot writes the Part of an amount: its keys, lot and condition.
func (e *Envelope) partOfLot(to *etree.Element, a Amount, condition string) {
	p := e.part(to, a.Part)
	if p == nil && a.Lot+condition != "" {
		p = to.CreateElement("Part")
	}
	if p != nil {
		e.tokenSince(p, 6, "LotID", a.Lot)
		e.set(p, 0, "Condition", condition)
	}
}

// firstResource writes a ResourceInfo of JMF. Waste is an amount of its own there.
func (e *Envelope) firstResource(to *etree.Element, r ResourceReport) {
	info := to.CreateElement("ResourceInfo")
	e.set(info, 5, "DeviceID", r.Device)
	e.set(info, 0, "Level", r.Level)
	e.set(info, 3, "ModuleID", r.Module)
	e.set(info, 2, "ProductID", r.ProductID)
	e.set(info, 0, "ResourceName", nmtoken(r.Kind))
	e.set(info, 5, "Scope", r.Scope)
	e.set(info, 0, "Unit", r.Unit)
	e.set(info, 3, "Usage", r.Usage)
	if len(r.Amounts) == 1 && plain(r.Amounts[0]) {
		e.number(info, 2, "ActualAmount", r.Amounts[0].Good)
		return
	}
	if e.opt.Version.Minor < 3 {
		// No pool yet: one total is all that can be told.
		e.number(info, 2, "ActualAmount", total(r.Amounts))
		return
	}
	if len(r.Amounts) == 0 {
		return
	}
	amounts := r.Amounts
	if e.opt.Version.Minor < 6 {
		amounts = withoutLots(amounts)
	}
	pool := info.CreateElement("AmountPool")
	for _, a := range amounts {
		for _, side := range []struct {
			condition string
			amount    decimal.NullDecimal
		}{{"Good", a.Good}, {"Waste", a.Waste}} {
			if !side.amount.Valid {
				continue
			}
			pa := pool.CreateElement("PartAmount")
			e.number(pa, 0, "ActualAmount", side.amount)
			e.partOfLot(pa, a, side.condition)
		}
	}
}

// withoutLots sums the amounts of each part: JMF has no lots there before 1.6.
func withoutLots(amounts []Amount) []Amount {
	var all []Amount
	place := map[string]int{}
	for _, a := range amounts {
		i, known := place[a.Part.String()]
		if !known {
			place[a.Part.String()] = len(all)
			all = append(all, Amount{Part: a.Part, Good: a.Good, Waste: a.Waste})
			continue
		}
		all[i].Good, all[i].Waste = plus(all[i].Good, a.Good), plus(all[i].Waste, a.Waste)
	}
	return all
}

// plus adds two amounts; one that is not known adds nothing.
func plus(a, b decimal.NullDecimal) decimal.NullDecimal {
	if !a.Valid || !b.Valid {
		if a.Valid {
			return a
		}
		return b
	}
	return decimal.NewNullDecimal(a.Decimal.Add(b.Decimal))
}

// plain reports whether an amount is one number that needs no pool.
func plain(a Amount) bool { return a.Part.Empty() && a.Lot == "" && !a.Waste.Valid }

// total is the sum of the good amounts, not valid when there is none.
func total(amounts []Amount) (sum decimal.NullDecimal) {
	for _, a := range amounts {
		sum = plus(sum, a.Good)
	}
	return sum
}
