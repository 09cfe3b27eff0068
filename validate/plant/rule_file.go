package plant

import "quoin/validate"

// fileRule makes a rule of plant files, which the plant has to mend.
func fileRule(id, say, do, why string) *validate.Rule {
	return &validate.Rule{
		ID: id, Severity: validate.Error, Mends: validate.Plant, Say: say, Do: do, Why: why,
	}
}

var (
	fileSyntax = fileRule("plant/file-syntax",
		"the plant file can not be read as YAML: {problem}",
		"mend the line; indent with spaces, and quote a text that holds a colon or a number sign",
		"A plant file is YAML 1.2; what can not be read can not be checked further.")
	fileForm = fileRule("plant/file-form",
		"the plant file can not be read: {problem}",
		"{do}",
		"A plant file is one YAML document in UTF-8.")
	fileAlias = fileRule("plant/file-alias",
		"{path}: {problem}",
		"write the values out in each place",
		"A value has to stand where a reader looks for it. Plain aliases are taken; merge keys and "+
			"aliases that multiply are not, since a small file could grow without limit.")
	unknownKey = fileRule("plant/unknown-key",
		"{path} has the unknown key {key|q}; want {choices}",
		"{near}",
		"A mistyped key would leave its number out of every plan without a word.")
	misplacedKey = fileRule("plant/misplaced-key",
		"{path}: this key is for {for} only",
		"take the key out, or mend what makes the entry another kind",
		"A number that nothing reads misleads whoever changes it.")
	missingKey = fileRule("plant/missing-key",
		"{path} has no {key|q}; want {form}",
		"add a line {key|q} with {form}",
		"Every number that decides a cost or a time stands in the plant file; none is guessed.")
	duplicateKey = fileRule("plant/duplicate-key",
		"{path}: the key is given twice",
		"keep one of the two",
		"YAML 1.2 section 3.2.1.3: the keys of a mapping are unique.")
	wrongType = fileRule("plant/wrong-type",
		"{path} is {got}; want {want}",
		"",
		"The form of each value is listed with the keys of plant files.")
	wrongUnit = fileRule("plant/wrong-unit",
		"{path} is {got|q}: {problem}; want {form}",
		"",
		"Units are written out, so that nobody has to know which one a number is in.")
	wrongValue = fileRule("plant/wrong-value",
		"{path} is {got|q}: {problem}; want {form}",
		"",
		"The form of each value is listed with the keys of plant files.")
	outOfSense = fileRule("plant/out-of-sense",
		"{path}: {problem}",
		"",
		"The value has the right form, but no machine or stock can have it.")
	stepOrder = fileRule("plant/step-order",
		"{path}: {problem}",
		"list the steps with rising limits, and end with \"above\"",
		"The first step that an input fits is taken, so a step behind a higher one is never reached, "+
			"and an input over the last needs \"above\".")
	duplicateID = fileRule("plant/duplicate-id",
		"{path}: {id|q} is the id of another {of} already",
		"give one of the two another id",
		"Tickets and messages name a machine by its id alone.")
	unknownCentre = fileRule("plant/unknown-cost-centre",
		"{path} is {got|q}, which is no cost centre of this plant; want {choices}",
		"{near}",
		"The hours of a machine are charged at the rates of its cost centre.")
)

func fileRules() []*validate.Rule {
	return []*validate.Rule{
		fileSyntax, fileForm, fileAlias, unknownKey, misplacedKey, missingKey, duplicateKey, wrongType,
		wrongUnit, wrongValue, outOfSense, stepOrder, duplicateID, unknownCentre,
	}
}
