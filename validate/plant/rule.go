package plant

import (
	"slices"

	"quoin/validate"
)

// Rules are all rules of the package: those of plant files, those of what does
// not fit together in them, and those of tickets held against a plant.
func Rules() []*validate.Rule {
	return slices.Concat(fileRules(), reviewRules(), checkRules())
}
