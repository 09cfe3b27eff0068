package plant

import (
	"quoin/jdf/job"
	"quoin/validate"
)

// Check holds a job against what the machines of a plant can do, and reports
// findings of the rules in Rules. Operations that have parameters are held
// against the machines for them; for what no operation tells, the wishes of the
// customer are held against all machines. Lengths of the ticket may be over a
// limit by up to Slack. What the ticket does not say breaks no limit. The Plant
// has to be one that Load gave without findings.
func Check(j *job.Job, p *Plant, report func(validate.Finding)) {
	c := newChecker(j, p, report)
	for _, op := range j.Operations {
		if k := kindOf(op.Type); k != nil {
			c.operation(op, k)
		}
	}
	for _, product := range j.Products {
		c.product(product)
	}
	c.drying()
}

// checker carries one check.
type checker struct {
	job     *job.Job
	plant   *Plant
	report  func(validate.Finding)
	seen    map[finding]bool              // what was reported
	done    map[string]bool               // steps that operations told something of
	kinds   map[string]string             // of machines, by id
	layouts map[string][]*job.Layout      // by sheet name
	groups  map[frame][]job.CutBlock      // by what they are cut from
	blocks  map[string]job.Fact[Size]     // sizes of blocks by name
	whole   map[*job.Product]*job.Product // the product that one is a part of
	bulks   map[*job.Product]bulk         // worked out already
	only    *job.Product                  // the one product that names a stock, or nil
	perNode map[int][]*job.Operation      // the steps of a combined node, by its index

	searches int // for the nearest change, see mostSearches
}

func newChecker(j *job.Job, p *Plant, report func(validate.Finding)) *checker {
	c := &checker{
		job: j, plant: p, report: report, seen: map[finding]bool{}, done: map[string]bool{},
		kinds: p.kinds(), layouts: map[string][]*job.Layout{}, whole: map[*job.Product]*job.Product{},
		bulks: map[*job.Product]bulk{}, perNode: map[int][]*job.Operation{},
	}
	for _, l := range j.Layouts {
		c.layouts[l.Part.Get("SheetName")] = append(c.layouts[l.Part.Get("SheetName")], l)
	}
	var blocks []job.CutBlock
	for _, op := range j.Operations {
		c.perNode[op.Node.Index()] = append(c.perNode[op.Node.Index()], op)
		if op.Cutting != nil {
			blocks = append(blocks, op.Cutting.Blocks...)
		}
	}
	c.groups, c.blocks = byFrame(blocks), blockSizes(blocks)
	stocked := 0
	for _, product := range j.Products {
		for _, part := range product.Parts {
			c.whole[part] = product
		}
		if product.Media.Weight.Given || product.Media.Thickness.Given {
			stocked++
			c.only = product
		}
	}
	if stocked != 1 {
		c.only = nil
	}
	return c
}

// finding is what makes two findings the same.
type finding struct {
	rule    *validate.Rule
	offset  int
	message string
}

// emit reports a finding once: one sheet may go through several steps.
func (c *checker) emit(f validate.Finding) {
	key := finding{f.Rule, f.Place.Start, f.Message()}
	if !c.seen[key] {
		c.seen[key] = true
		c.report(f)
	}
}

// operation holds an operation against the machines for its process.
func (c *checker) operation(op *job.Operation, s *step) {
	if op.Stitching != nil && op.Stitching.Type.Or("Saddle") != "Saddle" {
		return // through the side or a corner, which is no saddle stitcher's work
	}
	if c.byHand(op, s) {
		c.done[s.name] = true
		return
	}
	works := c.works(op)
	if op.Cutting != nil {
		c.checkBlocks(op)
	}
	if s.name == stitching || s.name == binding {
		works = c.bindingWorks(op, s)
	}
	named, ok := c.named(op, s)
	for _, w := range works {
		c.done[s.name] = c.done[s.name] || w.says()
		if ok {
			s.judge(c, w, named)
		}
	}
}

// bindingWorks are the books that an operation joins: the products that ask for
// its binding, or the one that is delivered.
func (c *checker) bindingWorks(op *job.Operation, s *step) []*work {
	var all []*work
	for _, p := range c.job.Products {
		if boundBy(p.Binding.Type.Value) == s.name {
			all = append(all, c.bindingWork(p, s.name == binding))
		}
	}
	if roots := c.job.RootProducts(); len(all) == 0 && len(roots) == 1 {
		all = append(all, c.bindingWork(roots[0], s.name == binding))
	}
	if len(all) == 0 {
		all = append(all, &work{})
	}
	for _, w := range all {
		w.at, w.name = op.TypeAt, op.Type
		w.trim = job.First(c.trimmed(), w.trim)
	}
	return all
}

// trimmed is the format that a trimming step of the job gives.
func (c *checker) trimmed() job.Fact[Size] {
	for _, op := range c.job.Operations {
		if t := op.Trimming; t != nil && t.Width.Given && t.Height.Given {
			return sizeFact(float64(t.Width.Value), float64(t.Height.Value), t.Width.Place, true)
		}
	}
	return job.Fact[Size]{}
}

// boundBy is the step that makes a binding of the standard; "" for none, and
// "by hand" for those that no machine of a plant file makes.
func boundBy(bindingType string) string {
	switch bindingType {
	case "", "None":
		return ""
	case "SaddleStitch":
		return stitching
	case "SoftCover":
		return binding
	}
	return "by hand"
}

// product holds the wishes for a product against all machines, for the steps
// that no operation told anything of.
func (c *checker) product(p *job.Product) {
	ask := func(name string, w *work) {
		if !c.done[name] && w.says() {
			stepNamed(name).judge(c, w, nil)
		}
	}
	if len(p.Parts) == 0 && !c.done[printing] {
		if w := c.printingOf(p); w.says() {
			judge(c, w, "press", nil, c.plant.Presses, pressLimits())
		}
	}
	if p.Fold.Given {
		ask(folding, c.foldingOf(p))
	}
	if p.Lamination.Surface.Given && p.Lamination.Surface.Value != "None" {
		ask(laminating, c.laminatingOf(p))
	}
	switch by := boundBy(p.Binding.Type.Value); by {
	case "":
	case stitching, binding:
		ask(by, c.bindingWork(p, by == binding))
	default:
		if c.plant.handWork(p.Binding.Type.Value) {
			return
		}
		c.emit(noBinding.At(p.Binding.Type.Place,
			validate.F("value", p.Binding.Type.Value), validate.F("plant", c.plant.Name)))
	}
}
