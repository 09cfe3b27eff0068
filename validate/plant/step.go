package plant

import "slices"

// step is a sort of work that machines of a plant do.
type step struct {
	name      string   // by which products know that operations told it
	processes []string // of the standard
	kind      string   // of machine
	judge     func(c *checker, w *work, named []string)
}

// The names of steps.
const (
	printing   = "printing"
	varnishing = "varnishing"
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
)

func allSteps() []step {
	return []step{
		{printing, []string{"ConventionalPrinting"}, offsetPress,
			func(c *checker, w *work, named []string) {
				judge(c, w, offsetPress, named, c.plant.pressesOf(Offset), pressLimits())
			}},
		{printing, []string{"DigitalPrinting"}, digitalPress,
			func(c *checker, w *work, named []string) {
				judge(c, w, digitalPress, named, c.plant.pressesOf(Digital), pressLimits())
			}},
		{varnishing, []string{"Varnishing"}, offsetPress,
			func(c *checker, w *work, named []string) {
				judge(c, w, offsetPress, named, c.plant.pressesOf(Offset), varnishLimits())
			}},
		{cutting, []string{"Cutting"}, guillotine,
			func(c *checker, w *work, named []string) {
				judge(c, w, guillotine, named, c.plant.Guillotines, guillotineLimits())
			}},
		{folding, []string{"Folding"}, folder,
			func(c *checker, w *work, named []string) {
				judge(c, w, folder, named, c.plant.Folders, folderLimits())
			}},
		{stitching, []string{"Stitching", "SaddleStitching"}, stitcher,
			func(c *checker, w *work, named []string) {
				judge(c, w, stitcher, named, c.plant.Stitchers, stitcherLimits())
			}},
		{binding, []string{"CoverApplication", "AdhesiveBinding"}, binder,
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
	return all
}
