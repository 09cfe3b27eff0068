package convert

import "quoin/validate"

// Rules are the findings of a conversion.
func Rules() []*validate.Rule {
	return []*validate.Rule{lostElement, lostAttribute, lostText, lostRemark, changed}
}

var (
	lostElement = &validate.Rule{
		ID: "convert/lost-element", Severity: validate.Warning, Mends: validate.Operator,
		Say: "{name} is lost: {reason}",
		Do:  "keep the source beside the converted ticket, or tell the receiver by other means",
		Why: "A conversion that drops something in silence is found out at the machine.",
	}
	lostAttribute = &validate.Rule{
		ID: "convert/lost-attribute", Severity: validate.Warning, Mends: validate.Operator,
		Say: "{name} is lost: {reason}",
		Do:  "keep the source beside the converted ticket, or tell the receiver by other means",
		Why: "A conversion that drops something in silence is found out at the machine.",
	}
	lostText = &validate.Rule{
		ID: "convert/lost-text", Severity: validate.Warning, Mends: validate.Operator,
		Say: "the text of {name} is lost: {reason}",
		Do:  "keep the source beside the converted ticket, or tell the receiver by other means",
		Why: "A conversion that drops something in silence is found out at the machine.",
	}
	lostRemark = &validate.Rule{
		ID: "convert/lost-remark", Severity: validate.Note, Mends: validate.Operator,
		Say: "the XML {name} is lost: {reason}",
		Why: "Remarks stand between elements that are put into another order; no program reads them.",
	}
	changed = &validate.Rule{
		ID: "convert/changed", Severity: validate.Note, Mends: validate.Operator,
		Say: "{name} is written in another way: {reason}",
		Why: "The generations name, place and spell some facts differently.",
	}
)

func lostOf(what Kind) *validate.Rule {
	switch what {
	case Attribute:
		return lostAttribute
	case Text:
		return lostText
	case Remark:
		return lostRemark
	}
	return lostElement
}
