package schemas

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Source: the notes of the published JDF schema on Delivery, ConventionalPrinting
// and FoldingIntent.
func TestLinkSpan(t *testing.T) {
	v := MakeVersion(1, 6)
	delivery := JDF().Type("Delivery")
	span, ok := delivery.LinkSpan(v, "ComponentLink", "Input", "")
	require.True(t, ok, "other inputs ended with 1.1")
	require.Equal(t, MakeVersion(1, 1), span.Last)
	_, ok = delivery.LinkSpan(MakeVersion(1, 1), "ComponentLink", "Input", "")
	require.False(t, ok)
	for _, named := range []string{"DeliveryParamsLink", "NodeInfoLink", "DeviceLink"} {
		_, ok = delivery.LinkSpan(v, named, "Input", "")
		require.False(t, ok, "%s has a note of its own", named)
	}
	_, ok = delivery.LinkSpan(v, "ComponentLink", "Output", "")
	require.False(t, ok)
	press := JDF().Type("ConventionalPrinting")
	_, ok = press.LinkSpan(v, "ComponentLink", "Output", "Waste")
	require.True(t, ok, "waste as an output of its own ended with 1.1")
	_, ok = press.LinkSpan(v, "ComponentLink", "Output", "Good")
	require.False(t, ok)
}

// A child that a version does not have is not asked for in it.
func TestLimitIsAskedByVersion(t *testing.T) {
	m := JDF().Element("FoldingIntent").Type().Model()
	asked := map[string][]bool{}
	for _, l := range m.Limits() {
		if l.Min > 0 {
			asked[l.Names[0]] = []bool{m.Asked(l, 0), m.Asked(l, MakeVersion(1, 5)), m.Asked(l, MakeVersion(1, 6))}
		}
	}
	require.Equal(t, map[string][]bool{
		"FoldingCatalog": {true, true, true}, "Orientation": {false, false, true},
	}, asked)
}
