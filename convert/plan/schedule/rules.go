package schedule

import "quoin/validate"

// Rules are the findings of laying plans.
func Rules() []*validate.Rule {
	return []*validate.Rule{late, lateBehind, machineMissing, noWorkingTime}
}

var (
	late = &validate.Rule{
		ID: "plant/late", Severity: validate.Error, Mends: validate.Plant,
		Say: "job {job|q} can not be ready by {due}, not even with all machines to itself; " +
			"by {earliest} at the earliest, {over} over",
		Do: "{help}",
		Why: "The work of its plan, laid over the shifts with its drying times, takes longer than there is " +
			"between now and the due time.",
	}
	lateBehind = &validate.Rule{
		ID: "plant/late-behind", Severity: validate.Warning, Mends: validate.Plant,
		Say: "job {job|q} is ready by {end}, {over} over its due time {due}: {wait}",
		Do:  "give it a higher priority than what stands before it, run the machine longer, or move work off it",
		Why: "Its own work does not prove it late; the jobs laid with it take the machines it needs.",
	}
	machineMissing = &validate.Rule{
		ID: "plant/machine-missing", Severity: validate.Error, Mends: validate.Operator,
		Say: "job {job|q} does {operation|q} on machine {machine|q}, which plant {plant|q} does not have",
		Do:  "plan the job anew with this plant file",
		Why: "An operation without a machine has no working time to be laid in.",
	}
	noWorkingTime = &validate.Rule{
		ID: "plant/no-working-time", Severity: validate.Error, Mends: validate.Plant,
		Say: "job {job|q} finds no working time for {operation|q} on machine {machine|q} within {years} years",
		Do:  "see which shifts the cost centre of the machine has, and how much work lies before it",
		Why: "A schedule ends when all its operations have been worked.",
	}
)
