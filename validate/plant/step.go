package plant

import "slices"

// step is a sort of work that machines of a plant do.
type step struct {
	name      string   // by which products know that operations told it
	processes []string // of the standard
	kind      string   // of machine
	also      []string // other kinds of machine that do it
	judge     func(c *checker, w *work, named []string)
}

// The names of steps.
const (
	printing   = "printing"
	varnishing = "varnishing"
	laminating = "laminating"
	dieCutting = "die cutting"
	cutting    = "cutting"
	folding    = "folding"
	stitching  = "stitching"
	binding    = "binding"
)

// The kinds of machine, in words.
const (
	offsetPress  = "offset press"
	digitalPress = "digital press"
	guillotine   = "guillotine"
	folder       = "folder"
	stitcher     = "stitcher"
	binder       = "binder"
	dieCutter    = "die cutter"
	laminator    = "laminator"
	coater       = "coater"
	handWork     = "place of hand work"
)

func allSteps() []step {
	return []step{
		{printing, []string{"ConventionalPrinting"}, offsetPress, nil,
			func(c *checker, w *work, named []string) {
				judge(c, w, offsetPress, named, c.plant.pressesOf(Offset), pressLimits())
			}},
		{printing, []string{"DigitalPrinting"}, digitalPress, nil,
			func(c *checker, w *work, named []string) {
				judge(c, w, digitalPress, named, c.plant.pressesOf(Digital), pressLimits())
			}},
		{varnishing, []string{"Varnishing"}, offsetPress, []string{coater},
			func(c *checker, w *work, named []string) {
				judge(c, w, "coater", named, c.plant.varnishers(w.method), varnishLimits())
			}},
		{laminating, []string{"Laminating"}, laminator, nil,
			func(c *checker, w *work, named []string) {
				judge(c, w, laminator, named, c.plant.Laminators, laminatorLimits())
			}},
		{dieCutting, []string{"ShapeCutting"}, dieCutter, nil,
			func(c *checker, w *work, named []string) {
				judge(c, w, dieCutter, named, c.plant.DieCutters, dieCutterLimits())
			}},
		{cutting, []string{"Cutting"}, guillotine, nil,
			func(c *checker, w *work, named []string) {
				judge(c, w, guillotine, named, c.plant.Guillotines, guillotineLimits())
			}},
		{folding, []string{"Folding"}, folder, nil,
			func(c *checker, w *work, named []string) {
				judge(c, w, folder, named, c.plant.Folders, folderLimits())
			}},
		{stitching, []string{"Stitching", "SaddleStitching"}, stitcher, nil,
			func(c *checker, w *work, named []string) {
				judge(c, w, stitcher, named, c.plant.Stitchers, stitcherLimits())
			}},
		{binding, []string{"CoverApplication", "AdhesiveBinding"}, binder, nil,
			func(c *checker, w *work, named []string) {
				judge(c, w, binder, named, c.plant.Binders, binderLimits())
			}},
	}
}

func kindOf(process string) *step {
	all := allSteps()
	i := slices.IndexFunc(all, func(s step) bool { return slices.Contains(s.processes, process) })
	if i < 0 {
		return nil
	}
	return &all[i]
}

// does reports whether machines of a kind carry out the step.
func (s *step) does(kind string) bool { return kind == s.kind || slices.Contains(s.also, kind) }

func stepNamed(name string) *step {
	all := allSteps()
	return &all[slices.IndexFunc(all, func(s step) bool { return s.name == name })]
}

func (p *Plant) pressesOf(kind PressKind) []*Press {
	var all []*Press
	for _, m := range p.Presses {
		if m.Kind == kind {
			all = append(all, m)
		}
	}
	return all
}

// kinds tells what each machine is.
func (p *Plant) kinds() map[string]string {
	all := map[string]string{}
	for _, m := range p.Presses {
		all[m.ID] = offsetPress
		if m.Kind == Digital {
			all[m.ID] = digitalPress
		}
	}
	for _, m := range p.Guillotines {
		all[m.ID] = guillotine
	}
	for _, m := range p.Folders {
		all[m.ID] = folder
	}
	for _, m := range p.Stitchers {
		all[m.ID] = stitcher
	}
	for _, m := range p.Binders {
		all[m.ID] = binder
	}
	for _, m := range p.DieCutters {
		all[m.ID] = dieCutter
	}
	for _, m := range p.Laminators {
		all[m.ID] = laminator
	}
	for _, m := range p.Coaters {
		all[m.ID] = coater
	}
	for _, m := range p.HandWork {
		all[m.ID] = handWork
	}
	return all
}
