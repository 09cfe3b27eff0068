package house

import (
	"slices"

	"quoin/validate"
)

func fileRule(slug string, s validate.Severity, say, do, why string) *validate.Rule {
	return &validate.Rule{
		ID: validate.GroupHouse + "/" + slug, Severity: s, Mends: validate.Plant, Say: say, Do: do, Why: why,
	}
}

var (
	fileSyntax = fileRule("file-syntax", validate.Error,
		"the rules file can not be read as YAML: {problem}",
		"mend the line; indent with spaces, and quote a text that holds a colon or a number sign",
		"A rules file is YAML 1.2; what can not be read can not be followed.")
	unknownKey = fileRule("unknown-key", validate.Error,
		"{path|q} is not a key here; want {choices}", "{near}",
		"A mistyped key would leave its rule out of every check without a word.")
	duplicateKey = fileRule("duplicate-key", validate.Error,
		"{path}: the key is given twice", "keep one of the two",
		"YAML 1.2, section 3.2.1.3: the keys of a mapping are unique.")
	missingKey = fileRule("missing-key", validate.Error,
		"{path} has no {key|q}; want {form}", "add a line {key|q} with {form}",
		"A silence without reason and end stays for ever, and nobody knows why.")
	wrongType = fileRule("wrong-type", validate.Error,
		"{path} is {got}; want {want}", "",
		"The form of each value is listed with the keys of the rules file.")
	wrongValue = fileRule("wrong-value", validate.Error,
		"{path} is {got|q}; want {want}", "",
		"The form of each value is listed with the keys of the rules file.")
	unknownRule = fileRule("unknown-rule", validate.Error,
		"{path} is {got|q}, which is no rule; want an id such as {choices}", "{near}",
		"A mistyped id would silence nothing, or weigh nothing, without a word.")
	fixedRule = fileRule("fixed-rule", validate.Error,
		"{path}: {rule} can be neither silenced nor weighed otherwise", "take the line out, and mend the file",
		"Behind a fault of XML nothing else is checked, and a fault of the rules file makes the rules unsure; "+
			"a report without them would look clean.")
	repeated = fileRule("repeated", validate.Error,
		"{path} is {got|q} for the second time", "keep one of the two",
		"Of two entries for one thing, one would be forgotten.")
	silenceEnded = fileRule("silence-ended", validate.Note,
		"the silence of {rule} ended on {until}; its findings count again",
		"mend what it silenced and take the entry out, or give a new date with a new reason",
		"A silence is for a time, so that nothing is forgotten for good.")
	instructionRule = &validate.Rule{
		ID: validate.GroupHouse + "/instruction", Severity: validate.Warning, Mends: validate.Sender,
		Say: "the instruction {got|q} silences nothing: {problem}",
		Do:  "{near}",
		Why: "An instruction that is not understood leaves the finding that it was written for.",
	}
)

// Rules lists what can be found in rules files and instructions.
func Rules() []*validate.Rule {
	return []*validate.Rule{
		fileSyntax, unknownKey, duplicateKey, missingKey, wrongType, wrongValue, unknownRule, fixedRule,
		repeated, silenceEnded, instructionRule,
	}
}

// fixed reports whether a rule can be neither silenced nor weighed otherwise.
func fixed(r *validate.Rule) bool { return fixedID(r.ID) }

func fixedID(id string) bool {
	group := (&validate.Rule{ID: id}).Group()
	return slices.Contains([]string{validate.GroupXML, validate.GroupHouse}, group)
}
