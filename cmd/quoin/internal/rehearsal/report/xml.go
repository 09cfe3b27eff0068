package report

import (
	"strconv"

	"github.com/beevik/etree"
	"github.com/shopspring/decimal"
)

// set gives an element attributes, by name and value, but for the empty ones.
func set(e *etree.Element, pairs ...string) *etree.Element {
	for i := 0; i+1 < len(pairs); i += 2 {
		if pairs[i+1] != "" {
			e.CreateAttr(pairs[i], pairs[i+1])
		}
	}
	return e
}

// child makes an element of the same namespace prefix as its parent.
func child(parent *etree.Element, name string, pairs ...string) *etree.Element {
	e := parent.CreateElement(name)
	e.Space = parent.Space
	return set(e, pairs...)
}

func number(n int) string { return strconv.Itoa(n) }

// counted leaves out what is nothing.
func counted(d decimal.Decimal) string {
	if d.IsZero() {
		return ""
	}
	return d.String()
}

func float(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
