package plant

import "quoin/validate"

// Rules are all rules of the package: those of plant files, then those of
// tickets held against a plant.
func Rules() []*validate.Rule {
	return append(fileRules(), checkRules()...)
}
