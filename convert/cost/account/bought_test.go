package account

import (
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/convert/cost"
	"quoin/validate/plant"
)

// Sheets that the guillotine reports are those bought, four of the press each; what
// the press reports are its own.
func TestSheetsBought(t *testing.T) {
	m := &maker{units: map[string]*unit{
		"guillotine-1": {Machine: &plant.Machine{ID: "guillotine-1"}},
		"offset-b2":    {Machine: &plant.Machine{ID: "offset-b2"}, press: &plant.Press{}},
	}}
	g := &good{heap: &heap{}, factor: exactly(decimal.RequireFromString("0.0166")), bought: exactly(decimal.RequireFromString("0.0664"))}
	sheets := func(device, unit string) string {
		return m.inUnits(g, cost.Use{Device: device, Unit: unit}, num(222)).decimal().String()
	}
	require.Equal(t, "888", sheets("guillotine-1", ""))
	require.Equal(t, "222", sheets("offset-b2", ""))
	require.Equal(t, "222", sheets("unknown", ""))
	require.Equal(t, "13373.4939759", decimal.RequireFromString(sheets("guillotine-1", "kg")).Round(7).String(), "weighed is weighed")
}
