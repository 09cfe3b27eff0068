package main

import (
	"regexp"
	"slices"

	"quoin/validate"
)

// reason is why the stage and libxml2 may differ. That it holds for a split is
// seen by the findings, or by a remedy: the document is rewritten without what
// they see differently, and libxml2 then comes to the verdict of the stage.
type reason struct {
	id   string
	ours bool   // the stage finds the fault, and libxml2 does not
	both bool   // it may be either way
	jdk  bool   // the JDK must side with the stage
	why  string // in one or two sentences

	// example is a ticket in testdata on which it holds.
	example string
	// remedy rewrites a document; it returns it as it is where the reason can
	// not be the one.
	remedy func(s *sample, found verdict) string
	// beyond tells findings that the schema, or libxml2, has no notion of. The
	// reason holds without a remedy when there are no others.
	beyond func(f validate.Finding) bool
}

var reasons = []reason{
	{
		id: "note", example: "note.jdf", ours: true,
		why: "The versions and cardinalities that the 1.x schema keeps in notes (xs:appinfo) are checked; " +
			"a processor does not read notes.",
		beyond: func(f validate.Finding) bool { return has(f, "basis", "note") },
	},
	{
		id: "look-alike", example: "look-alike.jdf", ours: true,
		why: "A namespace that only looks like the standard's is reported; to a processor it is a foreign one, " +
			"and the wildcards take it.",
		beyond: func(f validate.Finding) bool { return f.Rule.ID == "schema/look-alike-namespace" },
	},
	{
		id: "contradiction", example: "contradiction.jmf", ours: true,
		why:    "xsi:type and Type that do not fit are reported; to a processor Type is only a word.",
		beyond: func(f validate.Finding) bool { return f.Rule.ID == "schema/xsi-type-contradicts" },
	},
	{
		id: "type-followed", example: "type-followed.jdf", ours: true, both: true,
		why: "A node or message follows its Type without xsi:type; " +
			"libxml2 agrees once xsi:type is written out.",
		remedy: writeTypes,
	},
	{
		id: "empty-list", example: "empty-list.xjmf", ours: true, jdk: true,
		why: "A list of one item or more may not be empty, also where the schema only says xs:NMTOKENS; " +
			"libxml2 overlooks that, and the JDK does not.",
		beyond: func(f validate.Finding) bool { return f.Rule.ID == "schema/length" && has(f, "got", "0 items") },
	},
	{
		id: "exponent", example: "exponent.jdf", ours: true, jdk: true,
		why: "A number may not end in e; libxml2 overlooks that the exponent is missing, and the JDK does not.",
		beyond: func(f validate.Finding) bool {
			return f.Rule.ID == "schema/wrong-type" && slices.ContainsFunc(f.Facts, func(fact validate.Fact) bool {
				return fact.Name == "value" && noExponent.MatchString(fact.Value)
			})
		},
	},
	{
		id: "duplicate-id", example: "duplicate-id.jdf",
		why: "That an ID is given once is checked by another stage (ref/duplicate-id); " +
			"libxml2 agrees once the second has another value.",
		remedy: freshIDs,
	},
	{
		id: "partition", example: "partition.jdf",
		why: "A partition inherits attributes from those around it, and a partitioned resource may leave them " +
			"to its partitions; libxml2 agrees once they are written out.",
		remedy: inherit,
	},
	{
		id: "private-type", example: "private-type.jmf",
		why: "xsi:type may name a type of a private namespace; a processor refuses it without its schema, " +
			"and libxml2 agrees once it is taken out.",
		remedy: withoutPrivateTypes,
	},
	{
		id: "white-space", example: "white-space.xjdf", jdk: true,
		why: "White space around a number does not count; libxml2 refuses it for xs:long and its kin, " +
			"agrees once it is taken away, and the JDK takes it.",
		remedy: trimmed,
	},
}

func has(f validate.Finding, name, value string) bool {
	return slices.Contains(f.Facts, validate.Fact{Name: name, Value: value})
}

// noExponent matches a number, or one in a list, whose exponent has no digits.
var noExponent = regexp.MustCompile(`^[+-]?[0-9.]+[eE][+-]?$`)

// explain finds the reasons of splits.
func explain(splits []split, other engine) error {
	for _, r := range reasons {
		if r.remedy == nil {
			mark(splits, r)
			continue
		}
		if err := try(splits, r, other); err != nil {
			return err
		}
	}
	return nil
}

// mark gives a reason to the splits whose findings all go beyond the schema,
// by the first of them.
func mark(splits []split, r reason) {
	for i := range splits {
		s := &splits[i]
		if s.reason == "" && !s.ours.valid && len(s.ours.ours) == len(beyond(s.ours.ours)) && r.beyond(s.ours.ours[0]) {
			s.reason = r.id
		}
	}
}

// beyond picks the findings that go beyond the schema.
func beyond(all []validate.Finding) (some []validate.Finding) {
	for _, f := range all {
		if slices.ContainsFunc(reasons, func(r reason) bool { return r.beyond != nil && r.beyond(f) }) {
			some = append(some, f)
		}
	}
	return some
}

// try applies a remedy to the splits that have no reason yet.
func try(splits []split, r reason, other engine) error {
	var numbers []int
	var texts []text
	for i, s := range splits {
		if s.reason != "" || s.ours.valid == r.ours && !r.both {
			continue
		}
		doc, err := newSample(s.name, s.gen, s.xml)
		if err != nil {
			return err
		}
		mended := r.remedy(doc, s.theirs)
		if mended == s.xml {
			continue
		}
		if _, err := read(mended); err != nil {
			continue
		}
		numbers = append(numbers, i)
		texts = append(texts, text{s.gen, mended})
	}
	verdicts, err := other.judge(texts)
	if err != nil {
		return err
	}
	for k, i := range numbers {
		if verdicts[k].valid == splits[i].ours.valid {
			splits[i].reason = r.id
		}
	}
	return nil
}
