package structure

import (
	"slices"

	"quoin/validate"
)

// The rules of the stage. All are for the sender to mend.
var (
	lookAlike = rule("look-alike-namespace", validate.Error,
		"namespace {got|q} only looks like the standard's; want {want|q}",
		"write the namespace exactly, with its capitals",
		"What stands in another namespace is passed over by every reader that follows the schema; "+
			"the content would be lost without a word.")
	noNamespace = rule("missing-namespace", validate.Error,
		"element {element} has no namespace; want {want|q}",
		"declare xmlns on the root element",
		"Names of the standard are only known in its namespace; the wildcards of the schema take other "+
			"namespaces, but not none.")
	unknownRoot = rule("unknown-root", validate.Error,
		"the root is {element|q} of namespace {space|q}; want JDF, JMF, XJDF or XJMF in the standard's namespace",
		"check that the file is a ticket or message, and declare the standard's namespace on its root",
		"The published schemas of both generations know only these roots; nothing else can be held against them.")
	unknownElement = rule("unknown-element", validate.Error,
		"element {element} is unknown{hint}",
		"correct the name, or put a private element into a namespace of its own",
		"The published schema of the generation lists every element; readers do not look at others.")
	wrongParent = rule("wrong-parent", validate.Error,
		"element {element} may not stand in {parent}; it may stand in {parents}",
		"move it to where it belongs",
		"A reader looks for an element where the published schema of the generation puts it, and nowhere else.")
	otherGeneration = rule("other-generation", validate.Error,
		"{what} belongs to {other}; this is {this}",
		"write the ticket in one generation{repair}",
		"The two generations share many names but not their structure; a reader of one does not understand the other.")
	wrongOrder = rule("wrong-order", validate.Error,
		"{element} stands behind {after} in {parent}; want it before",
		"put the elements into the order of the schema",
		"The content models of the published schema are sequences; readers that follow it refuse any other order.")
	eitherOr = rule("either-or", validate.Error,
		"{element} stands beside {other} in {parent}; want one or the other",
		"keep one of them", "The content model of the published schema makes it a choice.")
	missingElement = rule("missing-element", validate.Error,
		"{parent} has no {element}{count}", "add {element} to {parent}",
		"The content model of the published schema, or the cardinality in its appinfo notes, asks for it.")
	tooMany = rule("too-many", validate.Error,
		"{parent} has {got} times {element}; want at most {most}", "keep {most} of {element}, and take out the rest",
		"The content model of the published schema, or the cardinality in its appinfo notes, allows no more.")
	unknownAttribute = rule("unknown-attribute", validate.Error,
		"attribute {at} is unknown{hint}",
		"correct the name, or put a private attribute into a namespace of its own",
		"The published schema of the generation lists every attribute of an element; readers do not look at others.")
	missingAttribute = rule("missing-attribute", validate.Error,
		"{at} is missing; want {want}", "add the attribute {at}",
		"The published schema of the generation requires it. In a partitioned resource each partition may have "+
			"it from the partitions around it.")
	wrongType = rule("wrong-type", validate.Error,
		"{at} is {value|q}; want {want}",
		"write {repair}",
		"The value is not of the data type that the published schema gives.")
	wrongEnum = rule("enumeration", validate.Error,
		"{at} is {value|q}{hint}; want {choices}", "write an allowed value, with its capitals",
		"The list of values is closed in the published schema; a private value is only "+
			"allowed where the type is open.")
	wrongPattern = rule("pattern", validate.Error,
		"{at} is {value|q}; want {want}", "write {want}",
		"The value does not have the form that the published schema gives.")
	wrongLength = rule("length", validate.Error,
		"{at} has {got}; want {want}", "write {want}",
		"The published schema gives the length of the list or text.")
	wrongRange = rule("range", validate.Error,
		"{at} is {value|q}; want {want}", "write {want}",
		"The published schema gives the limits of the number.")
	fixedValue = rule("fixed-value", validate.Error,
		"{at} is {value|q}; want {want|q}", "write {want|q}",
		"The published schema fixes the value.")
	textNotAllowed = rule("text-not-allowed", validate.Error,
		"{element} holds {what}; want {want}", "take the {what} out",
		"The content model of the published schema has no text; readers drop it.")
	notYet = rule("not-yet", validate.Error,
		"{what} came with version {first}; the document is of version {version}",
		"raise the version, or leave it out",
		"The appinfo notes of the published schema give the first version of the name; a reader of "+
			"the declared version does not know it.")
	noLonger = rule("no-longer", validate.Warning,
		"{what} ended with version {last}; the document is of version {version}",
		"use what took its place",
		"The appinfo notes of the published schema give the last version of the name; a reader of "+
			"the declared version need not know it.")
	abstractElement = rule("abstract-element", validate.Error,
		"{element} is abstract; want what stands in for it: {members}", "write one of the names that stand in for it",
		"The published schema only uses the name as the head of a group.")
	unknownXSIType = rule("unknown-xsi-type", validate.Error,
		"xsi:type is {value|q}, which is no type of the standard{hint}",
		"take xsi:type out, or name a type of the standard with the prefix of its namespace",
		"A schema processor that meets a type which the published schema lacks refuses the element.")
	xsiNotDerived = rule("xsi-type-not-derived", validate.Error,
		"xsi:type is {value|q}, which is not derived from {base}",
		"take xsi:type out, or name a type that is derived from {base}",
		"XML Schema, part 1, only lets a type take the place of the one it is derived from.")
	xsiContradicts = rule("xsi-type-contradicts", validate.Error,
		"xsi:type is {value|q}, but Type is {type|q}; want {want|q}", "take xsi:type out, or write {want|q}",
		"Readers go by Type, processors by xsi:type; they would read two different things.")
	nilNotAllowed = rule("nil-not-allowed", validate.Error,
		"{element} has xsi:nil; want content or no element", "take xsi:nil out",
		"No element of the published schemas is nillable.")
	foreignElement = rule("foreign-element", validate.Error,
		"element {element} of namespace {space|q} may not stand in {parent}",
		"put private elements where the schema has a wildcard",
		"The published schema lets elements of other namespaces stand in many places, but not here.")
	foreignAttribute = rule("foreign-attribute", validate.Error,
		"attribute {attribute} of namespace {space|q} may not stand on {element}",
		"take it out, or move it to an element that has room for private attributes",
		"The published schema lets attributes of other namespaces stand on most elements, but not on this one.")
	foreignLink = rule("link-not-of-process", validate.Error,
		"{link} is no link of {process}; want {links}",
		"link what the process uses, or correct Type or Types",
		"The published schema lists the resources that each process may link.")
)

// rules lists them in the order of the catalogue.
var rules = []*validate.Rule{
	lookAlike, noNamespace, unknownRoot, unknownElement, wrongParent, otherGeneration, wrongOrder, eitherOr,
	missingElement, tooMany, unknownAttribute, missingAttribute, wrongType, wrongEnum, wrongPattern,
	wrongLength, wrongRange, fixedValue, textNotAllowed, notYet, noLonger, abstractElement, unknownXSIType,
	xsiNotDerived, xsiContradicts, nilNotAllowed, foreignElement, foreignAttribute, foreignLink,
}

// Rules lists the rules of the stage.
func Rules() []*validate.Rule { return slices.Clone(rules) }

func rule(slug string, s validate.Severity, say, do, why string) *validate.Rule {
	return &validate.Rule{
		ID: validate.GroupSchema + "/" + slug, Severity: s, Mends: validate.Sender,
		Say: say, Do: do, Why: why,
	}
}
