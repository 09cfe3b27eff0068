package plan

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/validate/plant"
)

// TestHuge: numbers beyond all measure end in a finding or a plan, at once.
func TestHuge(t *testing.T) {
	for _, c := range []struct{ old, new string }{
		{`Amount="500"`, `Amount="1e999999999"`},
		{`Amount="500"`, `Amount="10000000"`},
		{`Amount="500"`, `Amount="1e-999999999"`},
		{`Pages="2"`, `Pages="2147483644"`},
		{`419.528 595.276`, `1e300 1e300`},
		{`419.528 595.276`, `1e-300 1e-300`},
		{`419.528 595.276`, `NaN INF`},
		{`Weight="100"`, `Weight="1e308"`},
		{`Weight="100"`, `Weight="NaN"`},
		{`ColorsUsed="Black"`, `ColorsUsed="Black" Coverage="1e999999999"`},
	} {
		for _, bound := range []bool{false, true} {
			text := strings.Replace(flatTicket, c.old, c.new, 1)
			require.NotEqual(t, flatTicket, text)
			if bound {
				text = strings.Replace(text, "</Product>", binding, 1)
			}
			start := time.Now()
			pl, findings := Make(inline(t, text), tinyPlant(), Options{})
			require.True(t, pl != nil || len(findings) > 0, c.new)
			require.Less(t, time.Since(start), 5*time.Second, c.new)
		}
	}
}

// TestHugeBlock: a perfect-bound book beyond all measure, and a binder without a limit.
func TestHugeBlock(t *testing.T) {
	p := tinyPlant()
	p.Binders[0].Thickness = plant.Range{}
	for _, pages := range []int{20_000, 20_002, 2147483644} {
		j := coverOf(bookJob(148, 210, pages, 10_000_000, []string{"Black"}))
		j.Products[0].Binding.Type = given(softCover)
		start := time.Now()
		pl, findings := Make(j, p, Options{})
		require.True(t, pl != nil || len(findings) > 0)
		require.Less(t, time.Since(start), 20*time.Second)
	}
}

// TestDigits: a quantity of ten thousand decimals is refused, not computed.
func TestDigits(t *testing.T) {
	j := flatJob(148, 210, 500, []string{"Black"}, nil)
	j.Products[0].Amount.Good = given(dec("1e-9999"))
	pl, findings := Make(j, tinyPlant(), Options{})
	require.Nil(t, pl)
	require.Equal(t, "process/amount-unusable", findings[0].Rule.ID)
	require.Less(t, len(findings[0].Message()), 120)
	j = flatJob(148, 210, 500, []string{"Black"}, nil)
	j.Products[0].Front.Coverage = given(dec("1e-9999"))
	require.Contains(t, strings.Join(made(t, j, tinyPlant()).Notes, "\n"), "no measurable number")
}
