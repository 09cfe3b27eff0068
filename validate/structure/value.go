package structure

import (
	"fmt"
	"strconv"
	"strings"

	"quoin/jdf"
	"quoin/schemas"
	"quoin/validate"
)

// reportValue reports a value that is not of its type, which is that of an
// attribute or of the text of an element.
func (c *checker) reportValue(place jdf.Place, at string, of *schemas.Simple, f schemas.Fault) {
	facts := []validate.Fact{fact("at", at), fact("value", f.Value)}
	switch f.Kind {
	case schemas.FaultEnum:
		c.report(wrongEnum.At(place, append(facts,
			fact("hint", aside(c.guesses.near(f.Type, f.Value, f.Type.Enum))),
			fact("choices", choices(f.Type.Enum())))...))
	case schemas.FaultPattern:
		if words := f.Type.Words(); words != nil {
			c.report(wrongEnum.At(place, append(facts,
				fact("hint", aside(c.guesses.near(f.Type, f.Value, f.Type.Words))), fact("choices", choices(words)))...))
			return
		}
		c.report(wrongPattern.At(place, append(facts, fact("want", want(f.Type)))...))
	case schemas.FaultLength:
		unit := unitOf(f.Type)
		c.report(wrongLength.At(place, append(facts, fact("got", plural(f.Count, unit)),
			fact("want", lengthOf(f.Type, unit)))...))
	case schemas.FaultRange:
		c.report(wrongRange.At(place, append(facts, fact("want", want(f.Type)))...))
	default:
		c.report(wrongType.At(place, append(facts, fact("want", want(f.Type)),
			fact("repair", repair(at, f, isList(of))))...))
	}
}

func choices(values []string) string {
	if len(values) == 1 {
		return values[0]
	}
	return "one of " + validate.Choices(values)
}

func unitOf(s *schemas.Simple) string {
	switch {
	case s.Variety() == schemas.List:
		return "item"
	case s.Builtin() == "hexBinary":
		return "byte"
	}
	return "character"
}

func plural(n int, unit string) string {
	if n != 1 {
		unit += "s"
	}
	return strconv.Itoa(n) + " " + unit
}

func lengthOf(s *schemas.Simple, unit string) string {
	least, most := s.Length()
	switch {
	case least == most:
		return plural(least, unit)
	case most == schemas.Unbounded:
		return "at least " + plural(least, unit)
	case least == 0:
		return "at most " + plural(most, unit)
	}
	return fmt.Sprintf("%d to %s", least, plural(most, unit))
}

// examples show a value of the types of XML Schema whose names say little to
// the people of a printing plant.
var examples = map[string]string{
	"boolean":    "true or false",
	"integer":    "a whole number such as 2500",
	"int":        "a whole number such as 2500",
	"long":       "a whole number such as 2500",
	"float":      "a number such as 841.89",
	"double":     "a number such as 841.89",
	"dateTime":   "a date and time such as 2025-03-31T14:30:00+01:00",
	"date":       "a date such as 2025-03-31",
	"time":       "a time such as 14:30:00",
	"gYearMonth": "a year and month such as 2025-03",
	"duration":   "a duration such as PT1H30M",
	"hexBinary":  "pairs of hexadecimal digits such as 0AFF",
	"anyURI":     "a URL such as file:///jobs/cover.pdf",
	"language":   "a language such as en-GB",
	"NMTOKEN":    "a token without spaces, such as Sheet_1",
	"ID":         "an identifier that starts with a letter or _, such as r12",
	"IDREF":      "an identifier that starts with a letter or _, such as r12",
	"QName":      "a name with an optional prefix, such as my:Value",
}

// want says what values a type takes.
func want(s *schemas.Simple) string {
	switch {
	case s.Enum() != nil:
		return choices(s.Enum())
	case s.Variety() == schemas.Union:
		return wantUnion(s)
	case s.Variety() == schemas.List:
		return wantList(s)
	}
	text := examples[s.Builtin()]
	if text == "" {
		text = "text"
	}
	if least, most := s.Range(); least != nil && most != nil {
		return fmt.Sprintf("a number from %g to %g", *least, *most)
	}
	if p := s.Patterns(); p != nil && wantsPattern(s) {
		return form(s, p)
	}
	return text
}

// forms show values of the types whose patterns are hard to read.
var forms = map[string]string{
	"FoldCatalog":      "a fold of the catalogue such as F8-7",
	"IntegerRange":     "a whole number or a range such as 0 ~ 3",
	"IntegerRangeList": "whole numbers and ranges such as 0 ~ 3 5",
	"PDFPath":          "a path such as 0 0 m 100 0 l 100 50 l h",
}

func form(s *schemas.Simple, patterns []string) string {
	for t := s; t != nil; t = t.Base() {
		if text := forms[t.Name()]; text != "" {
			return text
		}
	}
	return "a value of the form " + strings.Join(patterns, " and ")
}

// wantsPattern tells types whose pattern says what a value looks like from
// those where it only shuts out a few odd values of the base.
func wantsPattern(s *schemas.Simple) bool {
	switch s.Builtin() {
	case "string", "normalizedString", "token", "NMTOKEN":
		return true
	}
	return false
}

func wantUnion(s *schemas.Simple) string {
	var parts []string
	for _, m := range s.Members() {
		if _, most := m.Length(); most == 0 {
			parts = append(parts, "nothing")
			continue
		}
		parts = append(parts, want(m))
	}
	return orList(parts)
}

func wantList(s *schemas.Simple) string {
	least, most := s.Length()
	item := want(s.Item())
	if least == most {
		return plural(least, "item") + ", each " + item
	}
	return "a list, each item " + item
}
