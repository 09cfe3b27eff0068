package profile

import "quoin/validate"

func ticketRule(slug string, s validate.Severity, say, do, why string) *validate.Rule {
	return &validate.Rule{
		ID: validate.GroupSchema + "/" + slug, Severity: s, Mends: validate.Sender, Say: say, Do: do, Why: why,
	}
}

func fileRule(slug, say, do, why string) *validate.Rule {
	return &validate.Rule{
		ID: validate.GroupHouse + "/" + slug, Severity: validate.Error, Mends: validate.Plant, Say: say, Do: do, Why: why,
	}
}

// What is found in tickets. A clause may weigh its findings otherwise, name
// another party, and say itself what to do.
var (
	missing = ticketRule("profile-missing", validate.Error,
		"{element} has no {item}; clause {clause} of profile {profile} wants it{message}",
		"add {item} to {element}",
		"A profile lists what a sender has to give beyond what the standard asks for.")
	forbidden = ticketRule("profile-forbidden", validate.Error,
		"{element} has {item}; clause {clause} of profile {profile} forbids it{message}",
		"take {item} out",
		"A profile may shut out what the standard leaves open, so that a receiver need not be able to read it.")
	wrongValue = ticketRule("profile-value", validate.Error,
		"{item} is {got|q}; want {want} by clause {clause} of profile {profile}{message}",
		"change {item} to what clause {clause} asks for",
		"A profile may narrow the values that the standard allows, to those that a receiver must understand.")
	wrongCount = ticketRule("profile-count", validate.Error,
		"{element} has {got} of {item}; want {want} by clause {clause} of profile {profile}{message}",
		"add or take out {item} until the number is {want}",
		"A profile may narrow how often something stands.")
	twice = ticketRule("profile-unique", validate.Error,
		"{item} is {got|q} for the second time; clause {clause} of profile {profile} wants it unique{message}",
		"give {item} a value that it has nowhere else",
		"A profile may ask that a value tells things apart, where the standard does not.")
	notMet = ticketRule("profile-condition", validate.Error,
		"{element}: {message} (clause {clause} of profile {profile})",
		"change {element} until the condition of clause {clause} holds",
		"What hangs on several values together is said in a profile as a condition.")
	outside = ticketRule("profile-scope", validate.Note,
		"profile {profile} is for {want}, and this is {got}; nothing was held against it",
		"name a profile for files of this kind, version and process, or leave this one out",
		"A file that a profile does not speak of would otherwise look as if it kept it.")
)

// What is found in profiles themselves.
var (
	fileSyntax = fileRule("profile-syntax",
		"the profile can not be read as YAML: {problem}",
		"mend the line; indent with spaces, and quote what starts with @ or * or holds a colon or a number sign",
		"A profile is YAML 1.2; what can not be read can not be held against a ticket.")
	unknownKey = fileRule("profile-unknown-key",
		"{path|q} is not a key here; want {choices}", "{near}",
		"A mistyped key would leave its clause out of every check without a word.")
	duplicateKey = fileRule("profile-duplicate-key",
		"{path}: the key is given twice", "keep one of the two",
		"YAML 1.2, section 3.2.1.3: the keys of a mapping are unique.")
	missingKey = fileRule("profile-missing-key",
		"{path} has no {key|q}; want {form}", "add {key|q}",
		"Without the key the profile, or the clause, says nothing that could be checked.")
	wrongType = fileRule("profile-wrong-type",
		"{path} is {got}; want {want}", "",
		"The form of each value is listed with the keys of a profile.")
	wrongWord = fileRule("profile-wrong-value",
		"{path} is {got|q}; want {want}", "{near}",
		"The form of each value is listed with the keys of a profile.")
	repeated = fileRule("profile-repeated",
		"{path} is {got|q} for the second time", "keep one of the two, or name them apart",
		"Findings name the clause they come from; two of one name could not be told apart.")
	unknownName = fileRule("profile-unknown-name",
		"{path}: {problem}", "{near}",
		"A mistyped name would never be found in a ticket, so that its clause would always, or never, be broken.")
	misplacedName = fileRule("profile-misplaced-name",
		"{path}: {problem}", "{near}",
		"A name that the standard does not have at this place is never found there.")
	badExpression = fileRule("profile-expression",
		"{path}: {problem}", "{near}",
		"Paths and conditions are XPath 1.0, without what the notes on the file format leave out.")
	notDecided = fileRule("profile-undecided",
		"clause {clause} of profile {profile} could not be decided: {problem}",
		"make the clause simpler, or say with at and when where it holds",
		"The work that a profile may cause on one file is bounded, so that no file can hold up the others.")
)

// Rules lists what profiles find in tickets, and what is found in profiles.
func Rules() []*validate.Rule {
	return []*validate.Rule{
		missing, forbidden, wrongValue, wrongCount, twice, notMet, outside,
		fileSyntax, unknownKey, duplicateKey, missingKey, wrongType, wrongWord, repeated,
		unknownName, misplacedName, badExpression, notDecided,
	}
}

// parties are who may have to mend a finding.
var parties = []validate.Party{validate.Sender, validate.Plant, validate.Operator}
