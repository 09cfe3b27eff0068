package cost

import "quoin/validate"

var (
	ruleUnreadable = &validate.Rule{
		ID: "audit/unreadable", Severity: validate.Error, Mends: validate.Sender,
		Say: "{name} is {got|q}; want {want}",
		Do:  "have the device or agent that writes the record mend it; the rest of the record is counted without it",
		Why: "A time or an amount that cannot be read is missing from the cost of the job.",
	}
	ruleNoTime = &validate.Rule{
		ID: "audit/no-time", Severity: validate.Error, Mends: validate.Sender,
		Say: "{element} has neither a time stamp nor a start or end; it is not counted",
		Do:  "have the writer give the time of the header",
		Why: "The standard asks for a time stamp in every audit and message; without one a phase cannot be placed.",
	}
	ruleNoZone = &validate.Rule{
		ID: "audit/no-zone", Severity: validate.Warning, Mends: validate.Sender,
		Say: "{name} is {got|q} without a zone and is taken as {zone}",
		Do:  "have the writer add Z or an offset such as +02:00",
		Why: "Without a zone a time is not an instant: beside times that have one, phases shift by hours.",
	}
	ruleAhead = &validate.Rule{
		ID: "audit/ahead-of-stamp", Severity: validate.Warning, Mends: validate.Sender,
		Say: "{name} is {got}, {by} after the report itself was written at {stamp}",
		Do:  "set the clocks of the device and of the writer of the report",
		Why: "Nobody can report what is still to come: two clocks disagree, or a zone is wrong.",
	}
	ruleClock = &validate.Rule{
		ID: "audit/clock-off", Severity: validate.Note, Mends: validate.Operator,
		Say: "the clock of {device|q} was {by} {way} on {day}; its times are put right by that",
		Do:  "set the clock of the device",
		Why: "Messages can not come in before they are sent, and do not all take the same long way. " +
			"A wrong clock puts work into the wrong shift, and out of step with other devices.",
	}
	ruleClockUnsteady = &validate.Rule{
		ID: "audit/clock-unsteady", Severity: validate.Warning, Mends: validate.Operator,
		Say: "messages of {device|q} came in between {least} and {most} after they were sent on {day}; " +
			"its times are left as they are",
		Do:  "see whether the clock of the device was set on that day",
		Why: "A message that comes in before it was sent shows a fast clock, but no one correction fits the whole day.",
	}
	ruleEndBeforeStart = &validate.Rule{
		ID: "audit/end-before-start", Severity: validate.Error, Mends: validate.Operator,
		Say: "{name} is {end}, {by} before the start {start}; no time is counted",
		Do:  "correct the record, or the clock of the device",
		Why: "A phase cannot end before it begins.",
	}
	ruleNegative = &validate.Rule{
		ID: "audit/negative-amount", Severity: validate.Error, Mends: validate.Operator,
		Say: "{name} is {got}; want 0 or more; it is not counted",
		Do:  "correct the amount; a correction downwards belongs in a later report with the right sum",
		Why: "A phase cannot make less than nothing.",
	}
	ruleNoDevice = &validate.Rule{
		ID: "audit/no-device", Severity: validate.Warning, Mends: validate.Sender,
		Say: "{element} names no device",
		Do:  "have the writer name the device, for its cost centre gives the rates",
		Why: "Time is priced by the cost centre of the device that spent it.",
	}
	ruleUnknownState = &validate.Rule{
		ID: "audit/unknown-state", Severity: validate.Warning, Mends: validate.Sender,
		Say: "status {status|q} of {device|q} does not say what the device does; its time is not priced",
		Do:  "have the writer give the status of the job phase",
		Why: "Makeready, run and idle time have rates of their own.",
	}
	ruleNoReason = &validate.Rule{
		ID: "audit/no-reason", Severity: validate.Note, Mends: validate.Operator,
		Say: "{device|q} stopped for {time} without a reason",
		Do:  "give the reason in StatusDetails",
		Why: "Stops that nobody explains cannot be mended; they are the first thing to look for in a dear job.",
	}
	ruleOpen = &validate.Rule{
		ID: "audit/open-phase", Severity: validate.Warning, Mends: validate.Operator,
		Say: "{state} of {device|q} from {start} has no end; it is closed at {end}, the last word of the device",
		Do:  "collect again when the device has reported what follows",
		Why: "The time of a phase that is still running is not known yet.",
	}
	ruleRevised = &validate.Rule{
		ID: "audit/phase-revised", Severity: validate.Warning, Mends: validate.Sender,
		Say: "the {state} of {device|q} from {start} is reported again with other figures; the later report counts",
		Do:  "see which report is right",
		Why: "An audit pool is a record of what happened, and a phase happens once.",
	}
	ruleOverlap = &validate.Rule{
		ID: "audit/overlap", Severity: validate.Warning, Mends: validate.Operator,
		Say: "{state} of {device|q} for job {job|q} shares {time} with another phase, which counts that time",
		Do:  "see which of the two phases is right",
		Why: "A device does one thing at a time, and time of one device must not be paid for twice. " +
			"The phase that names a job, then the one that started later, then the more productive one counts.",
	}
	ruleGap = &validate.Rule{
		ID: "audit/gap", Severity: validate.Note, Mends: validate.Operator,
		Say: "nothing is reported of {device|q} for {time} before this phase of job {job|q}",
		Why: "Time between two phases of a job that nobody accounts for is missing from its cost.",
	}
	ruleReset = &validate.Rule{
		ID: "audit/counter-reset", Severity: validate.Note, Mends: validate.Operator,
		Say: "{name} of {device|q} fell from {from} to {to}; the counter is taken to have started again from 0",
		Why: "Amounts of signals add up from the start of a phase or job. A lower one means that the counter was set back.",
	}
	ruleHomeless = &validate.Rule{
		ID: "audit/amount-without-phase", Severity: validate.Warning, Mends: validate.Sender,
		Say: "{name} adds {amount} for job {job|q} on {device|q}, but no phase is known in which it was made",
		Do:  "have the device report the phases before the end of the job",
		Why: "Amounts are counted in the phase that made them.",
	}
	ruleRunDiffers = &validate.Rule{
		ID: "audit/run-differs", Severity: validate.Warning, Mends: validate.Operator,
		Say: "process run of job {job|q} took {want}, but its phases add up to {got}, {by} {way}",
		Do:  "look for a phase that is missing, or reported with wrong times",
		Why: "The duration of a run is the time of its phases at work; " +
			"without a duration, its phases fill it from start to end.",
	}
	ruleAmountDiffers = &validate.Rule{
		ID: "audit/amount-differs", Severity: validate.Warning, Mends: validate.Operator,
		Say: "job {job|q} part {part|q} made {want} good by its resource audit, but its phases add up to {got}, {by} {way}",
		Do:  "see which count is right; the cost of a copy rests on it",
		Why: "What a job made is the sum of what its phases made.",
	}
	ruleUnknownDevice = &validate.Rule{
		ID: "audit/unknown-device", Severity: validate.Warning, Mends: validate.Plant,
		Say: "device {device|q} is not in the plant file{near}; its time is not priced",
		Do:  "add the device to the plant file, or correct its id there",
		Why: "Rates come from the cost centre of the device in the plant file.",
	}
	ruleUnknownCentre = &validate.Rule{
		ID: "audit/unknown-cost-centre", Severity: validate.Warning, Mends: validate.Plant,
		Say: "cost centre {centre|q} is not in the plant file; want {choices}",
		Do:  "add the cost centre to the plant file; until then the one of the device counts",
		Why: "A record may charge another cost centre than that of its device; its rates must be known.",
	}
	ruleNoCentre = &validate.Rule{
		ID: "audit/no-cost-centre", Severity: validate.Warning, Mends: validate.Plant,
		Say: "device {device|q} has no cost centre; its time is not priced",
		Do:  "give the device a cost centre in the plant file",
		Why: "Rates come from the cost centre of the device.",
	}
)

// Rules lists the rules of the audit group, in the order in which they are checked.
func Rules() []*validate.Rule {
	return []*validate.Rule{
		ruleUnreadable, ruleNoTime, ruleNoZone, ruleEndBeforeStart, ruleAhead, ruleNegative,
		ruleClock, ruleClockUnsteady,
		ruleNoDevice, ruleUnknownState, ruleNoReason, ruleOpen, ruleRevised, ruleOverlap, ruleGap,
		ruleReset, ruleHomeless, ruleRunDiffers, ruleAmountDiffers,
		ruleUnknownDevice, ruleUnknownCentre, ruleNoCentre,
	}
}
