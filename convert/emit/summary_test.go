package emit

import (
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"quoin/convert/plan"
)

// TestSummaries: every operation has a summary, in either form the same, that
// says the amounts and warns of what the step brings and of nothing else.
func TestSummaries(t *testing.T) {
	seen := map[string]int{}
	for _, c := range cases {
		pl, tickets := emitted(t, c.job)
		var all []Summary
		for _, k := range tickets {
			require.Len(t, k.Reading, 1, k.Name)
			require.Equal(t, strings.TrimSuffix(k.Name, ".xjdf")+"-operator.txt", k.Reading[0].Name)
			all = append(all, k.Reading...)
		}
		require.Equal(t, all, Tickets(pl, c.job, in(JDF))[0].Reading, c.name)
		for i, o := range pl.Operations {
			text := all[i].Text
			for l := range strings.Lines(text) {
				require.LessOrEqual(t, utf8.RuneCountInString(strings.TrimSuffix(l, "\n")), columns, l)
				require.Equal(t, strings.TrimRight(l, " \n")+"\n", l)
			}
			require.Contains(t, text, count(o.Out)+" ", all[i].Name)
			for word, want := range map[string]bool{
				"Guillotine: ": o.Cut != nil,
				"UV lamps: ": o.Print != nil && slices.Contains(o.Print.Dryers, "UV") ||
					o.Varnish != nil && slices.Contains(o.Varnish.Dryers, "UV"),
				"Laminator: ":        o.Laminate != nil,
				"Die cutter: ":       o.Die != nil,
				"Hand work: ":        o.Hand != nil,
				"Wash-up solvents ":  o.Print != nil && !o.Print.Digital,
				"Moving machinery: ": o.Device != "" && o.Hand == nil,
				"Lifting: ":          o.Step != plan.StepPlates,
				"guard.":             true,
			} {
				require.Equal(t, want, strings.Contains(text, word), "%s: %s", all[i].Name, word)
				if want {
					seen[word]++
				}
			}
			require.Equal(t, o.Step != plan.StepPlates, strings.Contains(text, " kg\n"), all[i].Name)
			if o.Cut != nil {
				require.Equal(t, len(o.Cut.Program), strings.Count(text, "  gauge "), all[i].Name)
				require.NotEmpty(t, o.Cut.Program)
			}
		}
	}
	require.Len(t, seen, 9, "no case has one of the cautions: %v", seen)
}

// TestForeignText: what a ticket says can not put lines of its own into a
// summary.
func TestForeignText(t *testing.T) {
	pl, _ := emitted(t, product(nil))
	pl.Name = "Tide\n\nCARE\n  - Guards may be opened"
	for _, k := range Tickets(pl, nil, noon) {
		require.Equal(t, 1, strings.Count(k.Reading[0].Text, "\nCARE\n"))
	}
}

// TestWeight: 500 sheets of 700 x 1000 mm in 100 g/m2 weigh 35 kg.
// Source: the definition of grammage in ISO 536; area times grammage times count.
func TestWeight(t *testing.T) {
	require.InDelta(t, 35.0, kilos(plan.Format{Width: 700_000, Height: 1_000_000}, 100, 500), 1e-9)
}

// TestMarks: each cut of the rim of the pieces has a mark at both of its ends,
// on the sheet and on no piece.
func TestMarks(t *testing.T) {
	checked := 0
	for _, c := range cases {
		pl, _ := emitted(t, c.job)
		for _, s := range pl.Sheets {
			marks := cutMarks(s)
			require.Equal(t, s.Uncut || s.DieCut, len(marks) == 0, c.name)
			for _, m := range marks {
				checked++
				require.True(t, m.x >= 0 && m.y >= 0 && m.x <= s.Size.Width && m.y <= s.Size.Height, "%s: %v", c.name, m)
				for _, b := range s.Positions {
					inside := m.x > b.X && m.x < b.X+b.Width && m.y > b.Y && m.y < b.Y+b.Height
					require.False(t, inside, "%s: %v on %v", c.name, m, b)
				}
			}
			if s.Uncut || s.DieCut {
				continue
			}
			for _, b := range s.Positions {
				for _, x := range []mark{{x: b.X}, {x: b.X + b.Width}} {
					at := func(kind string) bool {
						return slices.ContainsFunc(marks, func(m mark) bool { return m.kind == kind && m.x == x.x })
					}
					require.True(t, at("BottomVerticalCutMark") && at("TopVerticalCutMark"), "%s: %v", c.name, x)
				}
			}
		}
	}
	require.NotZero(t, checked)
}

func TestForms(t *testing.T) {
	for _, f := range both {
		got, err := ParseForm(f.String())
		require.NoError(t, err)
		require.Equal(t, f, got)
	}
	_, err := ParseForm("pdf")
	require.ErrorContains(t, err, "want xjdf or jdf")
	require.Equal(t, "Form(9)", Form(9).String())
}

// TestTimes: operations with times get them, others none.
func TestTimes(t *testing.T) {
	pl, _ := emitted(t, product(nil))
	opt := noon
	opt.Times = times(pl)
	delete(opt.Times, 0)
	tickets := Tickets(pl, nil, opt)
	require.Greater(t, len(tickets), 1)
	for i, k := range tickets {
		info := k.Doc.FindElement("//NodeInfo")
		span, ok := opt.Times[i]
		if !ok {
			require.Empty(t, info.SelectAttrValue("Start", ""))
			require.NotContains(t, k.Reading[0].Text, "planned")
			continue
		}
		require.Equal(t, moment(span.Start), info.SelectAttrValue("Start", ""))
		require.Equal(t, moment(span.End), info.SelectAttrValue("End", ""))
		require.Contains(t, k.Reading[0].Text, "planned     "+span.Start.Format("2006-01-02 15:04"))
	}
}
