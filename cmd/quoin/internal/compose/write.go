package compose

import (
	"strconv"
	"strings"
	"time"

	"github.com/beevik/etree"
	"github.com/shopspring/decimal"

	"quoin/jdf/job"
)

// set writes an attribute that has a value. JMF before version 1.since does not
// have it; XJMF always does.
func (e *Envelope) set(to *etree.Element, since int, name, value string) {
	if value == "" || e.first() && int(e.opt.Version.Minor) < since {
		return
	}
	to.CreateAttr(name, value)
}

// token writes an attribute that is an NMTOKEN in XJMF and free text in JMF.
// What an NMTOKEN can not hold becomes "_".
func (e *Envelope) token(to *etree.Element, name, value string) { e.tokenSince(to, 0, name, value) }

func (e *Envelope) tokenSince(to *etree.Element, since int, name, value string) {
	if !e.first() {
		value = nmtoken(value)
	}
	e.set(to, since, name, value)
}

func (e *Envelope) whole(to *etree.Element, since int, name string, value *int) {
	if value != nil {
		e.set(to, since, name, strconv.Itoa(*value))
	}
}

func (e *Envelope) number(to *etree.Element, since int, name string, value decimal.NullDecimal) {
	if value.Valid {
		e.set(to, since, name, value.Decimal.String())
	}
}

func (e *Envelope) time(to *etree.Element, since int, name string, at time.Time) {
	if !at.IsZero() {
		e.set(to, since, name, moment(at))
	}
}

// seconds writes a duration as the number of seconds that it is.
func (e *Envelope) seconds(to *etree.Element, name string, d time.Duration) {
	if d > 0 {
		to.CreateAttr(name, strconv.FormatFloat(d.Seconds(), 'f', -1, 64))
	}
}

// words writes a list.
func (e *Envelope) words(to *etree.Element, name string, values []string) {
	e.set(to, 0, name, strings.Join(values, " "))
}

// part writes a Part, without the keys that the other generation alone has.
func (e *Envelope) part(to *etree.Element, p job.Part) *etree.Element {
	if p.Empty() {
		return nil
	}
	el := to.CreateElement("Part")
	for name, value := range p.All() {
		e.set(el, 0, name, value)
	}
	return el
}

// moment writes a time to the second, or to the millisecond where there are some.
func moment(t time.Time) string { return t.Format("2006-01-02T15:04:05.999Z07:00") }

// nmtoken is the text with "_" for what an NMTOKEN can not hold. Only ASCII is
// kept: its letters and digits mean the same to every reader.
func nmtoken(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9', strings.ContainsRune("._-:", r):
			return r
		}
		return '_'
	}, s)
}
