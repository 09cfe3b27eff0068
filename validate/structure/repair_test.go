package structure

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/validate"
)

// Values as senders write them, with the attribute and what they are told.
//
// Source: 1 point is 1/72 inch, which is 25.4 mm.
var repairs = []struct{ attrs, want string }{
	{`Media Dimension="1984,252 1417,323"`, `write "1984.252"`},
	{`Media Dimension="1984.252, 1417.323"`, `write "1984.252"; blanks part the items of a list, not commas`},
	{`Media Dimension="1984.252x1417.323"`, `write "1984.252 1417.323"`},
	{`Media Dimension="700mm 500mm"`, `write "1984.252", which is 700 mm in points`},
	{`Media Weight="135 g"`, `write "135"; weight is in g/m2`},
	{`Media Weight="135g/m2"`, `write "135"; weight is in g/m2`},
	{`Media Thickness="0,11 mm"`, `write "110", which is 0.11 mm in micrometres`},
	{`Media Thickness="110 µm"`, `write "110"; thickness is in micrometres`},
	{`Media Amount="3,000"`, `write "3000", or "3.000" if the comma stands before decimals`},
	{`Media Amount="3 000"`, `write "3000"`},
	{`Media Amount="1,234,567"`, `write "1234567"`},
	{`Media Amount="5.000,50"`, `write "5000.50"`},
	{`Media Amount="many"`, "write a number, without words"},
	{`Media Amount="3 boxes"`,
		"write the number alone, without unit or thousands separator, with a point before decimals"},
	{`Media ID="2001"`, `write "r2001", here and wherever it is referred to`},
	{`Media PartIDKeys="SheetName,Side"`, `write "SheetName Side"; blanks part the items of a list, not commas`},
	{`JDF Types="Cutting, Folding"`, `write "Cutting"; blanks part the items of a list, not commas`},
	{`NodeInfo Start="2026-11-10 08:00:00+01:00"`, `write "2026-11-10T08:00:00+01:00"`},
	{`NodeInfo Start="2026-11-10T08:00+01:00"`, `write "2026-11-10T08:00:00+01:00"`},
	{`NodeInfo Start="2026-11-10T08:00:00+0100"`, `write "2026-11-10T08:00:00+01:00"`},
	{`NodeInfo Start="2026-11-10 08:00"`,
		`write "2026-11-10T08:00:00" and the zone behind it, as in 2026-11-10T08:00:00+01:00`},
	{`NodeInfo Start="2026-11-10"`, "write the time and the zone too, as in 2026-11-10T14:30:00+01:00"},
	{`NodeInfo Start="10.11.2026 08:00"`, "write year, month and day, a T, hours, minutes and seconds, and the zone, " +
		"as in 2025-03-31T14:30:00+01:00"},
	{`NodeInfo Start="2026-13-10 08:00:00+01:00"`, "write year, month and day, a T, hours, minutes and seconds, " +
		"and the zone, as in 2025-03-31T14:30:00+01:00"},
	{`RunList EndOfDocument="no"`, `write "false"`},
	{`RunList NPage="16 pages"`, `write "16"`},
}

func TestRepairs(t *testing.T) {
	for _, c := range repairs {
		inner := `><ResourcePool><` + c.attrs + `/></ResourcePool></JDF>`
		if of, isRoot := strings.CutPrefix(c.attrs, "JDF"); isRoot {
			inner = of + "/>"
		}
		text := `<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" Type="Combined"` + inner
		doc, faults, err := jdf.Read("t.jdf", strings.NewReader(text), jdf.Limits{})
		require.NoError(t, err)
		require.Empty(t, faults)
		report := validate.NewReport(0)
		Check(doc, Options{}, report.Add)
		report.Finish()
		var got []string
		for _, f := range report.Findings {
			if f.Rule == wrongType {
				got = append(got, f.Advice())
			}
		}
		require.NotEmpty(t, got, c.attrs)
		require.Equal(t, c.want, got[0], c.attrs)
	}
}
