package colour

import "quoin/validate"

var (
	ruleUnreadable = &validate.Rule{
		ID: "audit/colour-unreadable", Severity: validate.Error, Mends: validate.Sender,
		Say: "{name} is {got|q}; want {want}",
		Do:  "have the device that measures mend it; the value is left out",
		Why: "A value that cannot be read is missing from the run.",
	}
	ruleTintPercent = &validate.Rule{
		ID: "audit/colour-tint-percent", Severity: validate.Warning, Mends: validate.Sender,
		Say: "{name} is {got}; it is taken as percent, and a fraction from 0 to 1 is what other tickets write",
		Do:  "have the writer give {want}",
		Why: "The schemas have a float without bounds; the published sample writes 0.9 for nine tenths.",
	}
	ruleOut = &validate.Rule{
		ID: "audit/colour-out", Severity: validate.Error, Mends: validate.Operator,
		Say: "{what} is out of tolerance on {out} of {sheets}, at first on {first}: {got}, want {want}; at worst {worst}",
		Do:  "set {mend} right and take a new OK sheet; look through what was printed since {first}",
		Why: "Fewer sheets keep the tolerance than the plant file asks for with \"within\".",
	}
	ruleSheetsOut = &validate.Rule{
		ID: "audit/colour-sheets-out", Severity: validate.Warning, Mends: validate.Operator,
		Say: "{what} is out of tolerance on {out} of {sheets}, at first on {first}: {got}, want {want}; at worst {worst}",
		Do:  "look at those sheets",
		Why: "As many sheets keep the tolerance as the plant file asks for, and some do not.",
	}
	ruleDrift = &validate.Rule{
		ID: "audit/colour-drift", Severity: validate.Warning, Mends: validate.Operator,
		Say: "{what} drifts by {slope} ({interval}) and will be out of tolerance at {when} ({span})",
		Do:  "correct {mend} before that",
		Why: "The slope is that of Theil and Sen; the interval around it, at the confidence of the plant file, " +
			"leaves out zero.",
	}
	ruleMaster = &validate.Rule{
		ID: "audit/colour-ok-sheet", Severity: validate.Warning, Mends: validate.Operator,
		Say: "the OK sheet of {what} is off the aim: {got}, want {want}",
		Do:  "approve a sheet that keeps the aim, or have the customer agree to this one",
		Why: "The run is held against the OK sheet, so that what is wrong there is wrong on all sheets.",
	}
	ruleFew = &validate.Rule{
		ID: "audit/colour-few-sheets", Severity: validate.Note, Mends: validate.Operator,
		Say: "{run}: {sheets} measured, too few to speak of a trend; want {want}",
		Do:  "measure more often",
		Why: "A slope through few points has an interval so wide that it says nothing.",
	}
	ruleNoOrder = &validate.Rule{
		ID: "audit/colour-no-order", Severity: validate.Warning, Mends: validate.Sender,
		Say: "{run}: some measurements have neither a sheet number nor a time; no trend is spoken of",
		Do:  "have the device write QualityControlResult/@Sample or @End",
		Why: "Without an order there is no run to look along.",
	}
	ruleConditions = &validate.Rule{
		ID: "audit/colour-conditions", Severity: validate.Warning, Mends: validate.Operator,
		Say: "{run}: {kind} is measured with {got}, and the aims are for {want}; it is not judged",
		Do:  "set the instrument as the plant file states it under \"measuring\"",
		Why: "Densities by different standards and colours under different light can not be compared.",
	}
	ruleNoPaper = &validate.Rule{
		ID: "audit/colour-no-paper", Severity: validate.Note, Mends: validate.Operator,
		Say: "{run}: tints are measured, and not the {missing} beside them; their tone values can not be worked out",
		Do:  "measure a patch of it, or set the instrument to densities without paper",
		Why: "The formula of Murray and Davies holds a tint against the solid and the bare paper.",
	}
	ruleNoAims = &validate.Rule{
		ID: "audit/colour-no-aims", Severity: validate.Note, Mends: validate.Plant,
		Say: "{run}: {problem}",
		Do:  "state the aims in the plant file under \"colour\"",
		Why: "What has no aim and no tolerance is shown, and not judged.",
	}
)

// Rules lists the rules of colour, all of the audit group.
func Rules() []*validate.Rule {
	return []*validate.Rule{
		ruleUnreadable, ruleTintPercent, ruleOut, ruleSheetsOut, ruleDrift, ruleMaster, ruleFew, ruleNoOrder,
		ruleConditions, ruleNoPaper, ruleNoAims,
	}
}
