package plan

import (
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate"
	"quoin/validate/plant"
)

// readFilm reads the lamination of a part. That of a whole book is for its
// cover, where it has one. Without any wish for it, operations that laminate
// tell the sides; one that tells none is taken for film on the front.
func (r *request) readFilm(p *part) bool {
	wish := p.product.Lamination
	if !wish.Surface.Given && p.cover {
		wish = r.root.Lamination
	}
	words, at := strings.Fields(wish.Surface.Value), wish.Surface.Place
	p.film = film{
		front: slices.Contains(words, "Both") || slices.Contains(words, "Front"),
		back:  slices.Contains(words, "Both") || slices.Contains(words, "Back"),
		kind:  plant.FilmKind(wish.Texture.Value),
	}
	if wish.Texture.Given && p.film.given() && p.film.kind == "" {
		r.note("the film of the ticket, " + wish.Texture.Value + ", is none that plants name; any was planned")
	}
	if op := r.operation("Laminating", p); !wish.Surface.Given && op != nil && (r.outermost(p) || len(p.sheets) > 0) {
		at = op.TypeAt
		r.filmByOperations(p)
	}
	if p.film.given() && len(r.plant.Laminators) == 0 {
		return r.lacks(at, "laminator")
	}
	return true
}

// filmByOperations reads the film of a part off the operations that lay it.
func (r *request) filmByOperations(p *part) {
	for _, op := range r.job.Operations {
		if op.Type != "Laminating" || !p.speaksOf(op) {
			continue
		}
		for _, t := range sidesTold(op, "LaminatingParams") {
			p.film.front, p.film.back = p.film.front || t.side == Front, p.film.back || t.side == Back
			if kind := plant.FilmKind(t.name); kind != "" {
				p.film.kind = kind
			}
		}
	}
	if !p.film.given() {
		p.film.front = true
		r.note("the ticket laminates and does not say what; film on the front was planned")
	}
}

// lacks fails for want of a machine, at the place that asks for its work.
func (r *request) lacks(at jdf.Place, machine string) bool {
	return r.fail(noPlan, at, validate.F("plant", r.plant.Name), validate.F("product", label(r.root)),
		validate.F("reasons", "plant has no "+machine))
}

// outermost reports whether a part is what is seen from outside: the cover of a
// book, or the only part.
func (r *request) outermost(p *part) bool {
	return p.cover || len(r.root.Parts) == 0 || !slices.ContainsFunc(r.root.Parts, isCover)
}

// operation is the first operation of a process for a part, or nil.
func (r *request) operation(process string, p *part) *job.Operation {
	i := slices.IndexFunc(r.job.Operations, func(op *job.Operation) bool { return op.Type == process && p.speaksOf(op) })
	if i < 0 {
		return nil
	}
	return r.job.Operations[i]
}

// varnished takes operations that varnish, without a coating wished for, as a
// coating of the sides that they tell, or of the front. It is false where that is
// not all over.
func (r *request) varnished(p *part) bool {
	if !r.outermost(p) && len(p.sheets) == 0 || len(p.front.colors) == 0 && len(p.back.colors) == 0 {
		return true
	}
	for _, op := range r.job.Operations {
		if op.Type != "Varnishing" || op.Varnish == nil || !p.speaksOf(op) {
			continue
		}
		if area := op.Varnish.Area; area.Value == "Spot" {
			return r.fail(notPlanned, area.Place, validate.F("work", "varnishing spots"))
		}
		kind := anyCoating
		sides := sidesTold(op, "VarnishingParams")
		for _, t := range sides {
			if k := coatingKind(t.name); k != "" && k != "none" {
				kind = k
			}
		}
		for _, t := range sides {
			if t.side == Front {
				p.front.coating = kind
			} else {
				p.back.coating = kind
			}
		}
		if len(sides) == 0 {
			p.front.coating = kind
		}
	}
	return true
}

// readDie reads whether a piece is cut out with a die. A die for a part of a
// book would have to stand in register with its trims, which no plan holds.
func (r *request) readDie(p *part) bool {
	var at jdf.Place
	if op := r.operation("ShapeCutting", p); op != nil {
		p.die, at = true, op.TypeAt
	}
	for name, place := range intentsOf(p.product) {
		if name == "ShapeCuttingIntent" {
			p.die, at = true, place
		}
	}
	switch {
	case !p.die:
		return true
	case len(r.plant.DieCutters) == 0:
		return r.lacks(at, "die cutter")
	case r.kind == Flat:
		return true
	}
	return r.fail(notPlanned, at, validate.F("work", "die cutting a part of a book"))
}
