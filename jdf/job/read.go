package job

import (
	"errors"
	"fmt"
	"strings"

	"github.com/shopspring/decimal"

	"quoin/jdf"
	"quoin/jdf/value"
)

// report takes a value that could not be read.
type report func(Fault)

// Text is an attribute as it stands, without white space around it.
func Text(n jdf.Node, name string) Fact[string] {
	a := n.Attr(name)
	if !a.Valid() {
		return Fact[string]{}
	}
	return Of(strings.TrimSpace(a.Value()), a.Place())
}

// words is an attribute that lists names.
func words(n jdf.Node, name string) Fact[[]string] {
	a := n.Attr(name)
	if !a.Valid() {
		return Fact[[]string]{}
	}
	return Of(strings.Fields(a.Value()), a.Place())
}

// Parsed reads an attribute with a parser of its data type. A value that is
// not of the type is reported, and the Fact is not given.
func Parsed[T any](n jdf.Node, name string, parse func(string) (T, error), fault func(Fault)) Fact[T] {
	return parsedAttr(n.Attr(name), parse, fault)
}

func parsedAttr[T any](a jdf.Attr, parse func(string) (T, error), fault report) Fact[T] {
	if !a.Valid() {
		return Fact[T]{}
	}
	v, err := parse(a.Value())
	if err == nil {
		return Of(v, a.Place())
	}
	f := Fault{Place: a.Place(), Name: a.Owner().Local() + "/@" + a.Local(), Got: a.Value(), Want: err.Error()}
	var syntax *value.SyntaxError
	if errors.As(err, &syntax) {
		f.Want = syntax.Want
		if f.Want == "" {
			f.Want = syntax.Type
		}
	}
	fault(f)
	return Fact[T]{}
}

func whole(n jdf.Node, name string, fault report) Fact[int] {
	return Parsed(n, name, parseWhole, fault)
}

// parseWhole takes an integer; JDF lets some of them be written as a double.
func parseWhole(s string) (int, error) {
	i, err := value.ParseInteger(s)
	return int(i), err
}

func number(n jdf.Node, name string, fault report) Fact[decimal.Decimal] {
	return Parsed(n, name, parseDecimal, fault)
}

// parseDecimal reads an amount exactly. INF and NaN are numbers to the schema,
// but no amount of anything.
func parseDecimal(s string) (decimal.Decimal, error) {
	s = strings.TrimSpace(s)
	if !value.IsDouble(s) || strings.ContainsAny(s, "NI") {
		return decimal.Zero, &value.SyntaxError{Type: "number", Value: s, Want: "a number such as 2500"}
	}
	d, err := decimal.NewFromString(s)
	if err != nil {
		return decimal.Zero, &value.SyntaxError{Type: "number", Value: s, Want: "a number such as 2500"}
	}
	// Beyond 18 digits before or after the point no amount makes sense, and
	// exact sums of such numbers would grow without bound.
	const most = 18
	if d.Exponent() > most || d.Exponent() < -most || d.NumDigits()+int(d.Exponent()) > most {
		return decimal.Zero, &value.SyntaxError{Type: "number", Value: s, Want: fmt.Sprintf("a number of at most %d digits", most)}
	}
	return d, nil
}

func measure(n jdf.Node, name string, fault report) Fact[float64] {
	return Parsed(n, name, value.ParseDouble, fault)
}

func length(n jdf.Node, name string, fault report) Fact[value.Length] {
	return Parsed(n, name, parseLength, fault)
}

func parseLength(s string) (value.Length, error) {
	f, err := value.ParseDouble(s)
	return value.Length(f), err
}

func moment(n jdf.Node, name string, fault report) Fact[value.DateTime] {
	return Parsed(n, name, value.ParseDateTime, fault)
}

func span(n jdf.Node, name string, fault report) Fact[value.Duration] {
	return Parsed(n, name, value.ParseDuration, fault)
}
