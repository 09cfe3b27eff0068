package convert

import (
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
)

// Every sample can be written in every version of its generation since 1.2, and
// is valid there; what the version does not have is in the report.
//
// Source: the published samples; first and last versions from the published
// JDF schema.
func TestEveryVersion(t *testing.T) {
	for kind := range kindsConverted {
		first := jdf.FirstXJDF
		if kind.First() {
			first = jdf.Version{Major: 1, Minor: 2}
		}
		for v := first; kind.Known(v); v.Minor++ {
			for name, doc := range samplesOf(t, kind) {
				r, err := To([]*jdf.Document{doc}, kind, Options{Clock: noon, Version: v})
				require.NoError(t, err)
				require.Len(t, r.Outputs, 1, "%s in %s", name, v)
				for _, o := range reread(t, r.Outputs) {
					require.Equal(t, v, o.Version)
					require.Empty(t, structureErrors(o), "%s in %s", name, v)
				}
				for i := range r.All() {
					require.NotEqual(t, notReached, i.Reason, "%s in %s: %s", name, v, i.Path())
				}
			}
		}
	}
}

const oldTicket = `<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" ID="n1" Type="Cutting" Status="Waiting"
  JobID="J7" Version="1.2">
  <NodeInfo JobPriority="40"/>
  <CustomerInfo CustomerID="C-9"/>
  <ResourcePool>
    <Device Class="Implementation" ID="D1" Status="Available" DeviceID="guillotine" FriendlyName="Big cutter"/>
    <CuttingParams Class="Parameter" ID="P1" Status="Available"/>
    <Component Class="Quantity" ID="C1" Status="Available" ComponentType="Sheet"/>
    <Component Class="Quantity" ID="C2" Status="Unavailable" ComponentType="Sheet"/>
  </ResourcePool>
  <ResourceLinkPool>
    <DeviceLink rRef="D1" Usage="Input"/>
    <CuttingParamsLink rRef="P1" Usage="Input"/>
    <ComponentLink rRef="C1" Usage="Input"/>
    <ComponentLink rRef="C2" Usage="Output"/>
  </ResourceLinkPool>
</JDF>`

// What moved with version 1.3 moves along, and back again.
//
// Source: the published JDF schema: NodeInfo and CustomerInfo end as children of
// a node with 1.2, and can be linked from 1.3; Device/@FriendlyName ends with 1.3.
func TestNodeInfoMovesWithVersion(t *testing.T) {
	old := read(t, "old.jdf", oldTicket)
	require.Empty(t, structureErrors(old))
	r, err := To([]*jdf.Document{old}, jdf.KindJDF, Options{Version: jdf.Version{Major: 1, Minor: 9}})
	require.NoError(t, err)
	fresh := reread(t, r.Outputs)[0]
	require.Empty(t, structureErrors(fresh))
	require.Equal(t, "40", fresh.Root().Find("ResourcePool", "NodeInfo").Get("JobPriority"))
	require.True(t, fresh.Root().Find("ResourceLinkPool", "CustomerInfoLink").Valid())
	require.Equal(t, "Big cutter", fresh.Root().Find("ResourcePool", "Device").Get("DescriptiveName"))
	for i := range r.Losses() {
		require.NotEqual(t, Lost, i.Outcome, i.Path())
	}
	r, err = To([]*jdf.Document{fresh}, jdf.KindJDF, Options{Version: jdf.Version{Major: 1, Minor: 2}})
	require.NoError(t, err)
	back := reread(t, r.Outputs)[0]
	require.Empty(t, structureErrors(back))
	require.Equal(t, "40", back.Root().Child("NodeInfo").Get("JobPriority"))
	require.Equal(t, "C-9", back.Root().Child("CustomerInfo").Get("CustomerID"))
	require.False(t, back.Root().Find("ResourcePool", "NodeInfo").Valid())
	name := back.Root().Find("ResourcePool", "Device").Get("DescriptiveName")
	require.Equal(t, "Big cutter", name, "every version has DescriptiveName")
	require.Equal(t, outline(t, old), outline(t, back))
}

func TestVersionsAreChecked(t *testing.T) {
	old := read(t, "old.jdf", oldTicket)
	_, err := To([]*jdf.Document{old}, jdf.KindJDF, Options{Version: jdf.Version{Major: 2, Minor: 1}})
	require.EqualError(t, err, "JDF has no version 2.1; want one from 1.0 to 1.9")
	_, err = To([]*jdf.Document{old}, jdf.KindXJMF, Options{})
	require.EqualError(t, err,
		"convert old.jdf: JDF can not become XJMF; tickets become tickets, messages become messages")
	_, err = To(nil, jdf.KindXJDF, Options{})
	require.EqualError(t, err, "convert to XJDF: there is no document; give at least one ticket or message")
	_, err = To([]*jdf.Document{old}, jdf.KindXJDF, Options{Split: "page"})
	require.EqualError(t, err, `split by "page" is unknown; want process, graybox or product`)
}
