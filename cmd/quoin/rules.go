package main

import (
	"quoin/cmd/quoin/internal/rulebook"
	"quoin/convert"
	"quoin/convert/cost"
	"quoin/convert/cost/account"
	"quoin/convert/cost/colour"
	"quoin/convert/plan"
	"quoin/convert/plan/schedule"
	"quoin/validate"
	"quoin/validate/house"
	"quoin/validate/packages"
	"quoin/validate/plant"
	"quoin/validate/profile"
	"quoin/validate/rules"
	"quoin/validate/structure"
	"quoin/validate/xsd"
)

// allRules lists every rule that some command can report.
func allRules() []*validate.Rule {
	all := validate.XMLRules()
	for _, more := range [][]*validate.Rule{
		structure.Rules(), xsd.Rules(), rules.Rules(), plant.Rules(), plan.Rules(), schedule.Rules(),
		cost.Rules(), account.Rules(), colour.Rules(), convert.Rules(), packages.Rules(), house.Rules(), profile.Rules(),
		rulebook.Ledger(), rulebook.Partners(),
	} {
		all = append(all[:len(all):len(all)], more...)
	}
	return all
}
