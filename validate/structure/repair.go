package structure

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"quoin/schemas"
)

// repair says what to write for a value that is not of its type. The ways in which
// senders go wrong are few: a comma, a unit, a date as their country has it.
func repair(at string, f schemas.Fault, list bool) string {
	if list && strings.ContainsAny(f.Value, ",;") {
		parts := strings.FieldsFunc(f.Value, func(r rune) bool { return r == ',' || r == ';' })
		if allOf(f.Type, parts) && !decimalComma(f.Value) {
			return strconv.Quote(strings.Join(parts, " ")) + "; blanks part the items of a list, not commas"
		}
	}
	switch f.Type = likely(f.Type); f.Type.Builtin() {
	case "boolean":
		return repairBoolean(f)
	case "float", "double", "integer", "int", "long", "decimal":
		return repairNumber(at, f, list)
	case "ID", "IDREF":
		return repairID(f)
	case "dateTime":
		return repairDate(f.Type, f.Value)
	}
	return "the value as its data type has it"
}

// isList reports whether a type, or one that it may have instead, is a list.
func isList(t *schemas.Simple) bool {
	return t.Variety() == schemas.List || slices.ContainsFunc(t.Members(), isList)
}

// allOf reports whether there are items, and each is of the type.
func allOf(t *schemas.Simple, items []string) bool {
	for _, item := range items {
		if t.Check(item).Kind != 0 {
			return false
		}
	}
	return len(items) > 0
}

func repairBoolean(f schemas.Fault) string {
	switch strings.ToLower(f.Value) {
	case "yes", "y", "on", "true", "1":
		return `"true"`
	case "no", "n", "off", "false", "0":
		return `"false"`
	}
	return "true or false, in small letters"
}

func repairID(f schemas.Fault) string {
	if want := "r" + f.Value; f.Type.Check(want).Kind == 0 {
		return strconv.Quote(want) + ", here and wherever it is referred to"
	}
	return "a letter or _, then letters, digits and . - _ without blanks"
}

// decimalComma reports whether a value is two runs of digits about a comma.
func decimalComma(s string) bool {
	whole, fraction, ok := strings.Cut(strings.TrimPrefix(s, "-"), ",")
	return ok && digits(whole) && digits(fraction)
}

func digits(s string) bool {
	return s != "" && strings.Trim(s, "0123456789") == ""
}

func repairNumber(at string, f schemas.Fault, list bool) string {
	if !strings.ContainsAny(f.Value, "0123456789") {
		return "a number, without words"
	}
	const rest = "the number alone, without unit or thousands separator, with a point before decimals"
	if pair := strings.FieldsFunc(f.Value, func(r rune) bool { return strings.ContainsRune("xX*×", r) }); list &&
		len(pair) > 1 && allOf(f.Type, pair) {
		return strconv.Quote(strings.Join(pair, " "))
	}
	number := strings.ReplaceAll(strings.ReplaceAll(f.Value, " ", ""), "'", "")
	end := strings.LastIndexAny(number, "0123456789") + 1
	if i := strings.IndexFunc(number, func(r rune) bool { return !strings.ContainsRune("+-0123456789.,", r) }); i >= 0 {
		end = i
	}
	number, unit := number[:end], number[end:]
	if unit != "" {
		return repairUnit(at, f.Type, strings.Replace(number, ",", ".", 1), unit, rest)
	}
	plain := unseparated(number)
	switch {
	case f.Type.Check(plain).Kind != 0:
		return rest
	case thousands(number) && f.Type.Check(strings.Replace(number, ",", ".", 1)).Kind == 0:
		return strconv.Quote(plain) + ", or " + strconv.Quote(strings.Replace(number, ",", ".", 1)) +
			" if the comma stands before decimals"
	}
	return strconv.Quote(plain)
}

// thousands reports whether a comma may part thousands: it has one to three
// digits before it and three behind it.
func thousands(s string) bool {
	before, after, _ := strings.Cut(strings.TrimPrefix(s, "-"), ",")
	return len(before) <= 3 && before != "0" && digits(before) && len(after) == 3 && digits(after)
}

// unseparated takes thousands separators out of a number and writes its
// decimals behind a point.
func unseparated(s string) string {
	comma, point := strings.LastIndexByte(s, ','), strings.LastIndexByte(s, '.')
	switch {
	case thousands(s), strings.Count(s, ",") > 1, comma >= 0 && point > comma:
		return strings.ReplaceAll(s, ",", "")
	case comma > point:
		return strings.Replace(strings.ReplaceAll(s, ".", ""), ",", ".", 1)
	}
	return s
}

// pointsOf is a unit of length in points of 1/72 inch, which is 25.4 mm.
func pointsOf(unit string) (points float64, ok bool) {
	switch unit {
	case "mm":
		return 72 / 25.4, true
	case "cm":
		return 720 / 25.4, true
	case "in", "inch", `"`:
		return 72, true
	}
	return 0, false
}

// repairUnit is for a number with a unit behind it. Lengths are in points,
// thickness is in micrometres and weight in g/m2 in both generations.
//
// From memory: the Structure and Encoding chapters of both generations, units.
func repairUnit(at string, t *schemas.Simple, number, unit, rest string) string {
	v, err := strconv.ParseFloat(number, 64)
	if err != nil || t.Check(number).Kind != 0 {
		return rest
	}
	thick := strings.HasSuffix(at, "Thickness")
	points, isLength := pointsOf(strings.ToLower(unit))
	whole := strings.Contains(t.Builtin(), "int") || t.Builtin() == "long"
	switch strings.ToLower(unit) {
	case "g", "g/m2", "g/m²", "gsm", "g/qm":
		return strconv.Quote(number) + "; weight is in g/m2"
	case "um", "µm", "μm", "micron", "microns":
		return strconv.Quote(number) + "; thickness is in micrometres"
	case "pt":
		return strconv.Quote(number) + "; lengths are in points"
	}
	switch {
	case whole && !isLength:
		return strconv.Quote(number)
	case thick && isLength:
		return strconv.Quote(rounded(v*points*25400/72)) + ", which is " + number + " " + unit + " in micrometres"
	case isLength && !whole:
		return strconv.Quote(rounded(v*points)) + ", which is " + number + " " + unit + " in points"
	}
	return rest
}

// rounded writes a number with three decimals at most.
func rounded(v float64) string {
	return strconv.FormatFloat(math.Round(v*1000)/1000, 'f', -1, 64)
}

// likely is the number or time among the types that a value may have, beside
// which stand words such as INF; else the type itself.
func likely(s *schemas.Simple) *schemas.Simple {
	for _, m := range s.Members() {
		switch t := likely(m); t.Builtin() {
		case "dateTime", "float", "double", "integer", "int", "long", "decimal":
			return t
		}
	}
	return s
}

// repairDate gives the time as it should stand, where only its form is wrong.
func repairDate(t *schemas.Simple, got string) string {
	const form = "year, month and day, a T, hours, minutes and seconds, and the zone, " +
		"as in 2025-03-31T14:30:00+01:00"
	if len(got) == len("2025-03-31") && t.Check(got+"T00:00:00Z").Kind == 0 {
		return "the time and the zone too, as in " + got + "T14:30:00+01:00"
	}
	if len(got) < len("2025-03-31 14:30") {
		return form
	}
	day, clock := got[:10], strings.TrimSpace(got[11:])
	if got[10] != ' ' && got[10] != 'T' && got[10] != 't' {
		return form
	}
	zone := ""
	if i := strings.IndexAny(clock, "Zz+-"); i >= 0 {
		clock, zone = strings.TrimSpace(clock[:i]), strings.ToUpper(clock[i:])
	}
	if strings.Count(clock, ":") == 1 {
		clock += ":00"
	}
	if len(zone) == len("+0100") && !strings.Contains(zone, ":") {
		zone = zone[:3] + ":" + zone[3:]
	}
	want := day + "T" + clock + zone
	switch {
	case t.Check(want).Kind != 0:
		return form
	case zone == "":
		return strconv.Quote(want) + " and the zone behind it, as in " + want + "+01:00"
	}
	return strconv.Quote(want)
}
