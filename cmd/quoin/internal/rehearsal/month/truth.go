package month

import (
	"quoin/cmd/quoin/internal/rehearsal"
	"quoin/cmd/quoin/internal/rehearsal/report"
	"quoin/validate/plant"
)

// settle gathers the truth.
func (m *Month) settle(shop *rehearsal.Shop) {
	m.Truth = &rehearsal.Truth{
		Plant: m.Plant.Name, Seed: m.Seed, From: m.From, Habits: shop.Habits, Faults: []rehearsal.Fault{},
	}
	byDevice := map[string][]*rehearsal.Act{}
	for i := range m.Jobs {
		j := &m.Jobs[i]
		m.Truth.Orders = append(m.Truth.Orders, j.truth())
		m.Truth.Steps = append(m.Truth.Steps, j.Acts...)
	}
	m.Truth.Settle() // sorts the steps
	for _, a := range m.Truth.Steps {
		byDevice[a.Device] = append(byDevice[a.Device], a)
	}
	centres := map[string]*plant.CostCentre{}
	for _, c := range m.Plant.CostCentres {
		centres[c.ID] = c
	}
	m.idle = map[string][]rehearsal.Idle{}
	channels := report.Channels(m.Plant)
	for device, acts := range byDevice {
		if channels[device].Idle {
			cal := rehearsal.CalendarOf(m.Plant, centres[acts[0].Centre])
			m.idle[device] = rehearsal.IdleOf(device, acts, cal)
			m.Truth.Idle = append(m.Truth.Idle, m.idle[device]...)
		}
	}
	m.Truth.Settle()
}

func (j *Job) truth() rehearsal.Order {
	o := rehearsal.Order{
		Job: j.Order.Job, Customer: j.Customer.Name, Product: j.Product, Form: j.Form, Ordered: j.Quantity,
		Placed: j.Placed, Due: j.Due,
	}
	if len(j.Acts) == 0 {
		return o
	}
	last := j.Acts[len(j.Acts)-1]
	o.Delivered = last.Good
	for _, a := range j.Acts {
		if a.End().After(o.Done) {
			o.Done = a.End()
		}
	}
	o.Late = o.Done.After(o.Due)
	return o
}
