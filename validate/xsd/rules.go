package xsd

import (
	"strconv"

	"quoin/jdf"
	"quoin/validate"
)

var (
	ruleXSD = &validate.Rule{
		ID: "schema/xsd", Severity: validate.Error, Mends: validate.Sender,
		Say: "{what}: {message}",
		Why: "the XML schema the document is held against does not allow it; the words are those of the XSD engine",
	}
	ruleMore = &validate.Rule{
		ID: "schema/xsd-more", Severity: validate.Note, Mends: validate.Sender,
		Say: "{count} more findings of the XSD engine are not listed; want at most {most}",
		Do:  "mend what is listed, then check again",
		Why: "what is kept of one document is bounded",
	}
	ruleLarge = &validate.Rule{
		ID: "schema/xsd-large", Severity: validate.Note, Mends: validate.Plant,
		Say: "document has {size} bytes; from {most} on the XSD engine does not see an ID that is given twice",
		Do:  "rely on the rules of the group ref for that",
		Why: "a large document is checked while it is read, and no list of its IDs is kept",
	}
	ruleMended = &validate.Rule{
		ID: "schema/xsd-mended", Severity: validate.Note, Mends: validate.Plant,
		Say: `pattern escapes {got|q}, which XML Schema does not allow; read as {want|q}`,
		Why: "XML Schema Part 2, appendix F, lists the characters that may follow a backslash; the engine refuses others",
	}
	ruleAbsent = &validate.Rule{
		ID: "schema/xsd-absent", Severity: validate.Note, Mends: validate.Plant,
		Say: "import of {space|q} from {location|q} is not followed; what is of that namespace is not known",
		Do:  "put the schema beside this one and name it by its path",
		Why: "nothing is fetched from the network, and an import is a hint that may be passed over",
	}
)

// Rules lists the rules of the stage.
func Rules() []*validate.Rule {
	return []*validate.Rule{ruleXSD, ruleMore, ruleLarge, ruleMended, ruleAbsent}
}

// maxErrors is how many errors of one document are kept.
const maxErrors = 100_000

func moreFinding(doc *jdf.Document, count int) validate.Finding {
	return ruleMore.At(doc.Root().NamePlace(),
		validate.F("count", strconv.Itoa(count)), validate.F("most", strconv.Itoa(maxErrors)))
}

// Merge adds the findings of this stage to those of the other stages, without
// those about an element that a rule of the group schema has found fault with
// already: the two speak of the same thing. Neither slice is changed.
func Merge(others, ours []validate.Finding) []validate.Finding {
	said := make(map[jdf.Node]bool)
	for _, f := range others {
		if f.Rule.Group() == validate.GroupSchema && f.Place.Node().Valid() {
			said[f.Place.Node()] = true
		}
	}
	all := make([]validate.Finding, 0, len(others)+len(ours))
	all = append(all, others...)
	for _, f := range ours {
		if f.Rule != ruleXSD || !said[f.Place.Node()] {
			all = append(all, f)
		}
	}
	return all
}
