package plant

import (
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/validate"
)

func TestDemoPremiums(t *testing.T) {
	p := loadDemo(t)
	b1 := p.Presses[1].CostCentre
	require.Equal(t, "31", b1.Wage.String())
	require.Equal(t, "30", b1.Overtime.String())
	require.Equal(t, []string{"0", "10", "25"}, []string{
		b1.Shifts[0].Premium.String(), b1.Shifts[1].Premium.String(), b1.Shifts[2].Premium.String(),
	})
	// Two people at 31.00 with 25 % on top.
	require.Equal(t, "15.5", b1.PremiumAnHour(b1.Run, b1.Shifts[2].Premium).String())
}

// Without a wage the premium is of the rate itself, and nothing is rounded.
func TestPremiumAnHour(t *testing.T) {
	c := &CostCentre{Crew: 3}
	rate, third := decimal.RequireFromString("95.01"), decimal.RequireFromString("33.33")
	require.Equal(t, "31.666833", c.PremiumAnHour(rate, third).String())
	c.Wage = decimal.RequireFromString("28.55")
	require.Equal(t, "28.547145", c.PremiumAnHour(rate, third).String())
	require.True(t, c.PremiumAnHour(rate, decimal.Zero).IsZero())
}

func TestPremiumMistakes(t *testing.T) {
	shift := func(more string) string { return "shifts: [{days: Mon, from: 06:00, to: 14:00" + more + "}]" }
	for keys, want := range map[string]string{
		shift(", premium: 201 %"): "at most 200 %",
		shift(", premium: 10"):    "%",
		"overtime: 300 %":         "at most 200 %",
		"crew wage: 30 USD/h":     "USD",
		"shifts: [{days: Mon - Tue, from: 06:00, to: 14:00, name: day}, " +
			"{days: Tue, from: 14:00, to: 22:00, name: day}]": `two shifts that begin on Tue are named "day"`,
	} {
		findings := floorWith(t, keys)
		require.Len(t, findings, 1, keys)
		require.Contains(t, findings[0].Message()+" "+findings[0].Advice(), want)
	}
	// The same name on different days is no mistake.
	require.Empty(t, floorWith(t, "shifts: [{days: Mon, from: 06:00, to: 14:00, name: day}, "+
		"{days: Tue, from: 14:00, to: 22:00, name: day}], crew wage: 30.00 EUR/h, overtime: 200 %"))
}

// floorWith loads a plant file whose one cost centre has further keys.
func floorWith(t *testing.T, keys string) []validate.Finding {
	t.Helper()
	text := strings.Replace(small(t), "idle: 30 EUR per hour}", "idle: 30 EUR per hour, "+keys+"}", 1)
	require.Contains(t, text, keys)
	_, findings := Load("plant.yaml", []byte(text))
	return findings
}
