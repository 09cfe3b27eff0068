package main

import (
	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/plant"
	"quoin/validate/structure"
	"quoin/validate/xsd"
)

// schemaStage holds a document against the dictionary of its generation, and
// against XSDs where there are any. What both find fault with is said once.
func schemaStage(schemas []*xsd.Schema) validate.Stage {
	return validate.Stage{
		Name: "structure", Rules: append(structure.Rules(), xsd.Rules()...), Plain: true,
		Check: func(s *validate.Subject, report func(validate.Finding)) error {
			if len(schemas) == 0 {
				structure.Check(s.Doc, structure.Options{}, report)
				return nil
			}
			var found []validate.Finding
			structure.Check(s.Doc, structure.Options{}, func(f validate.Finding) { found = append(found, f) })
			for _, schema := range schemas {
				var more []validate.Finding
				if err := schema.Check(s.Doc, func(f validate.Finding) { more = append(more, f) }); err != nil {
					return err
				}
				found = xsd.Merge(found, more)
			}
			for _, f := range found {
				report(f)
			}
			return nil
		},
	}
}

// plantStage asks whether a plant can make the job. Messages ask for nothing
// to be made.
func plantStage(works *plant.Plant) validate.Stage {
	return validate.Stage{
		Name: "plant", Rules: plant.Rules(),
		Check: func(s *validate.Subject, report func(validate.Finding)) error {
			if s.Doc.Kind == jdf.KindJDF || s.Doc.Kind == jdf.KindXJDF {
				plant.Check(s.Job, works, report)
			}
			return nil
		},
	}
}
