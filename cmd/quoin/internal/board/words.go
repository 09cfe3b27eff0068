package board

import (
	"fmt"
	"html/template"
	"strconv"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"quoin/cmd/quoin/internal/works"
	"quoin/convert/cost"
)

// words writes values for people, in the zone of the plant.
type words struct {
	zone *time.Location
	now  func() time.Time
}

func (w *words) funcs() template.FuncMap {
	return template.FuncMap{
		"when": w.when, "clock": w.clock, "stamp": stamp, "ago": w.ago, "span": spanned, "costspan": costSpan,
		"amount": amount, "money": money, "signed": signed, "glyph": glyphOf, "state": stateWord, "size": size,
		"plural": plural, "short": short, "inc": func(n int) int { return n + 1 },
		"lower": func(v any) string { return strings.ToLower(fmt.Sprint(v)) },
	}
}

// zoneName names the zone and what its clocks show now, such as
// "Europe/Berlin (CET)".
func (w *words) zoneName() string {
	name, short := w.zone.String(), w.now().In(w.zone).Format("MST")
	if name == short {
		return name
	}
	return name + " (" + short + ")"
}

// when writes a moment with as much of the date as it needs: none for today.
func (w *words) when(t time.Time) string {
	if t.IsZero() {
		return "–"
	}
	t, now := t.In(w.zone), w.now().In(w.zone)
	switch days := dayNumber(t) - dayNumber(now); {
	case days == 0:
		return "today " + t.Format("15:04")
	case days == -1:
		return "yesterday " + t.Format("15:04")
	case days == 1:
		return "tomorrow " + t.Format("15:04")
	case t.Year() != now.Year():
		return t.Format("Mon 2 Jan 2006 15:04")
	}
	return t.Format("Mon 2 Jan 15:04")
}

// dayNumber counts days of the calendar, so that two moments of one day differ by 0.
func dayNumber(t time.Time) int {
	y, m, d := t.Date()
	return int(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

// clock writes a moment in full.
func (w *words) clock(t time.Time) string {
	if t.IsZero() {
		return "–"
	}
	return t.In(w.zone).Format("Mon 2 Jan 2006, 15:04:05")
}

// stamp is a moment for programs.
func stamp(t time.Time) string { return t.UTC().Format(time.RFC3339) }

// ago says how long something is past, or how far ahead.
func (w *words) ago(t time.Time) string {
	if t.IsZero() {
		return "never"
	}
	d := w.now().Sub(t)
	switch {
	case d < -time.Minute:
		return "in " + spanned(-d)
	case d < time.Minute:
		return "just now"
	}
	return spanned(d) + " ago"
}

// spanned writes a length of time with its two greatest units.
func spanned(d time.Duration) string {
	if d < 0 {
		return "−" + spanned(-d)
	}
	if d < time.Minute {
		return strconv.Itoa(int(d.Round(time.Second)/time.Second)) + " s"
	}
	d = d.Round(time.Minute)
	days, hours, minutes := int(d/(24*time.Hour)), int(d/time.Hour)%24, int(d/time.Minute)%60
	switch {
	case days > 0 && hours > 0:
		return fmt.Sprintf("%d d %d h", days, hours)
	case days > 0:
		return fmt.Sprintf("%d d", days)
	case hours > 0 && minutes > 0:
		return fmt.Sprintf("%d h %02d min", hours, minutes)
	case hours > 0:
		return fmt.Sprintf("%d h", hours)
	}
	return fmt.Sprintf("%d min", minutes)
}

func costSpan(s cost.Span) string { return spanned(time.Duration(s)) }

// amount writes a number with its thousands apart; what is no number stays as it is.
func amount(v any) string {
	var text string
	switch v := v.(type) {
	case decimal.Decimal:
		text = v.String()
	case *decimal.Decimal:
		if v == nil {
			return "–"
		}
		text = v.String()
	default:
		text = fmt.Sprint(v)
	}
	if text == "" {
		return "–"
	}
	whole, rest, point := strings.Cut(strings.TrimPrefix(text, "-"), ".")
	for _, c := range whole {
		if c < '0' || c > '9' {
			return text
		}
	}
	var b strings.Builder
	if strings.HasPrefix(text, "-") {
		b.WriteString("−")
	}
	for i, c := range whole {
		if i > 0 && (len(whole)-i)%3 == 0 {
			b.WriteRune('\u202f') // narrow, and no line ends there
		}
		b.WriteRune(c)
	}
	if point {
		b.WriteString("." + rest)
	}
	return b.String()
}

// money writes an amount with the places of its currency.
func money(d decimal.Decimal, places int32) string {
	text := d.StringFixed(places)
	whole, rest, point := strings.Cut(text, ".")
	if !point {
		return amount(whole)
	}
	return amount(whole) + "." + rest
}

// signed is money with its sign always written.
func signed(d decimal.Decimal, places int32) string {
	if d.IsPositive() {
		return "+" + money(d, places)
	}
	return money(d, places)
}

// size writes a number of bytes.
func size(n int64) string {
	switch {
	case n < 1<<10:
		return fmt.Sprintf("%d bytes", n)
	case n < 1<<20:
		return fmt.Sprintf("%.1f KiB", float64(n)/(1<<10))
	}
	return fmt.Sprintf("%.1f MiB", float64(n)/(1<<20))
}

func plural(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + one + "s"
}

// stateWord is the word for a state of anything, as people say it.
func stateWord(v any) string {
	switch s := fmt.Sprint(v); s {
	case string(works.StepAccepted):
		return "accepted"
	case string(works.DeliveryDead):
		return "given up"
	case "":
		return "unknown"
	case "PendingReturn":
		return "on its way back"
	case "run":
		return "running"
	default:
		return strings.ToLower(s)
	}
}
