package account

import (
	"slices"

	"quoin/convert/cost"
	"quoin/validate"
)

var (
	ruleNoPrice = &validate.Rule{
		ID: "audit/no-price", Severity: validate.Warning, Mends: validate.Plant,
		Say: "{kind} of job {job|q} has no price; its consumption is not charged",
		Do:  "add the {thing} to the plant file, or import the plan of the job",
		Why: "Material is priced by the plan of the job, or else by the plant file.",
	}
	ruleTooFast = &validate.Rule{
		ID: "audit/too-fast", Severity: validate.Warning, Mends: validate.Plant,
		Say: "{device|q} has a performance over 1 in {count} of {all} shifts, {most} on {day}; the planned speed is too low",
		Do:  "look at what the device really runs, and raise the speed in the plant file",
		Why: "Performance is planned time of what was made by production time. No device runs faster than it can: " +
			"the standard is wrong, and hides losses.",
	}
)

// Rules lists the rules of this package. Of those of package cost it uses
// audit/unknown-device, audit/unknown-cost-centre and audit/no-cost-centre.
func Rules() []*validate.Rule { return []*validate.Rule{ruleNoPrice, ruleTooFast} }

// rule finds a rule of package cost.
func rule(id string) *validate.Rule {
	all := cost.Rules()
	i := slices.IndexFunc(all, func(r *validate.Rule) bool { return r.ID == id })
	return all[i] // the test of this package holds that it is there
}
