package plant

// Machines are what all kinds of machine have in common, and the places of hand
// work: presses first, then the others as work mostly goes.
func (p *Plant) Machines() []*Machine {
	var all []*Machine
	for _, m := range p.Presses {
		all = append(all, &m.Machine)
	}
	for _, m := range p.Guillotines {
		all = append(all, &m.Machine)
	}
	for _, m := range p.Folders {
		all = append(all, &m.Machine)
	}
	for _, m := range p.Stitchers {
		all = append(all, &m.Machine)
	}
	for _, m := range p.Binders {
		all = append(all, &m.Machine)
	}
	for _, m := range p.DieCutters {
		all = append(all, &m.Machine)
	}
	for _, m := range p.Laminators {
		all = append(all, &m.Machine)
	}
	for _, m := range p.Coaters {
		all = append(all, &m.Machine)
	}
	for _, m := range p.HandWork {
		all = append(all, &m.Machine)
	}
	return all
}
