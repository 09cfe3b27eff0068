package colour

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// head of tickets and messages of each generation.
const (
	first  = `xmlns="http://www.CIP4.org/JDFSchema_1_1"`
	second = `xmlns="http://www.CIP4.org/JDFSchema_2_0"`
	offset = `<RegistrationQuality Offset="72 0" Reference="Black"/>`
	result = `<QualityControlResult ID="Q">` + offset + `</QualityControlResult>`
)

// What stands around a result tells whose it is; the nearest wins.
func TestAbout(t *testing.T) {
	for name, c := range map[string]struct{ text, want string }{
		"ticket": {`<XJDF ` + second + ` JobID="J" JobPartID="P"><ResourceSet Name="Device"><Resource>` +
			`<Device DeviceID="D"/></Resource></ResourceSet><ResourceSet Name="QualityControlResult">` +
			`<Resource><Part Side="Front" SheetName="S"/>` +
			result + `</Resource></ResourceSet></XJDF>`, "J P D - S Front "},
		"two devices": {`<XJDF ` + second + ` JobID="J"><ResourceSet><Resource><Device DeviceID="D"/></Resource>` +
			`<Resource><Device DeviceID="E"/></Resource><Resource>` + result + `</Resource></ResourceSet></XJDF>`, "J   -   "},
		"audit": {`<XJDF ` + second + ` JobID="J" JobPartID="P"><AuditPool><AuditResource><Header DeviceID="D" ` +
			`Time="2026-11-25T10:00:00+01:00"/><ResourceInfo JobPartID="Q"><ResourceSet><Resource><Part Separation="Cyan"/>` +
			result + `</Resource></ResourceSet></ResourceInfo></AuditResource></AuditPool></XJDF>`, "J P D 09:00   Cyan"},
		"audit of another job": {`<XJDF ` + second + ` JobID="J" JobPartID="P"><AuditPool><AuditResource>` +
			`<ResourceInfo JobID="K"><ResourceSet><Resource>` + result +
			`</Resource></ResourceSet></ResourceInfo></AuditResource></AuditPool></XJDF>`,
			"K   -   "},
		"several parts": {`<XJDF ` + second + ` JobID="J"><ResourceSet><Resource><Part SheetName="S" Side="Front"/>` +
			`<Part SheetName="S" Side="Back"/>` + result + `</Resource></ResourceSet></XJDF>`, "J   - S  "},
		"signal": {`<XJMF ` + second + `><Header DeviceID="D" Time="2026-11-25T10:00:00Z"/><SignalResource><ResourceInfo ` +
			`JobID="J" JobPartID="P"><ResourceSet><Resource>` + result + `</Resource></ResourceSet></ResourceInfo>` +
			`</SignalResource></XJMF>`, "J P D 10:00   "},
		"node": {`<JDF ` + first + ` JobID="J" JobPartID="all"><JDF JobPartID="P"><ResourcePool><Device DeviceID="D"/>` +
			result + `</ResourcePool></JDF></JDF>`, "J P D -   "},
		"partitions": {`<JDF ` + first + ` JobID="J"><ResourcePool><QualityControlResult ID="Q" End="2026-11-25T11:00:00Z">` +
			`<QualityControlResult SheetName="S">` + offset + `<QualityControlResult Side="Back"/></QualityControlResult>` +
			`</QualityControlResult></ResourcePool></JDF>`, "J   11:00 S Back "},
		"resource audit": {`<JDF ` + first + ` JobID="J"><ResourcePool>` + result + `</ResourcePool><AuditPool>` +
			`<ResourceAudit TimeStamp="2026-11-25T12:00:00Z"><QualityControlResultLink rRef="Q" Usage="Output">` +
			`<Part SheetName="S"/></QualityControlResultLink></ResourceAudit></AuditPool></JDF>`, "J   12:00 S  "},
		"of another resource": {`<JDF ` + first + ` JobID="J"><ResourcePool><Component ID="C" SheetName="S">` +
			strings.Replace(result, ` ID="Q"`, ` Position="Back" SourceDeviceID="E"`, 1) + `</Component></ResourcePool></JDF>`,
			"J  E - S Back "},
		"message": {`<JMF ` + first + ` SenderID="D" TimeStamp="2026-11-25T13:00:00Z"><Signal Type="Resource">` +
			`<ResourceQuParams JobID="J" JobPartID="P"/><ResourceInfo><Part Side="Back"/>` + result +
			`</ResourceInfo></Signal></JMF>`,
			"J P D 13:00  Back "},
	} {
		ms, found := Read(document(t, "a", c.text))
		require.Empty(t, messages(found), name)
		require.Len(t, ms, 2, name)
		m := ms[0]
		at := "-"
		if !m.Time.IsZero() {
			at = m.Time.UTC().Format("15:04")
		}
		require.Equal(t, c.want, fmt.Sprintf("%s %s %s %s %s %s %s", m.Job, m.Part, m.Device, at, m.SheetName, m.Side,
			m.Colorant), name)
		require.InDelta(t, 25.4, m.Value, 1e-9)
	}
}

// A field may be a resource of its own that the strip refers to, with
// conditions that are another; those that JDF has defaults for have them.
func TestReferences(t *testing.T) {
	doc := document(t, "a.jdf", `<JDF `+first+` JobID="J"><ResourcePool><ColorControlStrip ID="S"><QualityControlResult/>`+
		`<DensityMeasuringFieldRef rRef="F"/><DensityMeasuringFieldRef rRef="nowhere"/></ColorControlStrip>`+
		`<DensityMeasuringField ID="F" Separation="Black" Density="1.8" Percentage="100" DotGain="0">`+
		`<ColorMeasurementConditionsRef rRef="C"/></DensityMeasuringField>`+
		`<ColorMeasurementConditions ID="C" InkState="Wet"/></ResourcePool></JDF>`)
	ms, found := Read(doc)
	require.Empty(t, messages(found))
	require.Len(t, ms, 1)
	require.Equal(t, Conditions{Density: "ANSIT", Illumination: "D50", Observer: 2, Ink: "Wet"}, ms[0].Conditions)
	require.Equal(t, 1.8, ms[0].Value)
}

// Strips that state what is wanted are not what was measured.
func TestWanted(t *testing.T) {
	for _, text := range []string{
		`<JDF ` + first + `><ResourcePool><Layout><MarkObject><ColorControlStrip><CIELABMeasuringField CIELab="1 2 3"/>` +
			`</ColorControlStrip></MarkObject></Layout></ResourcePool></JDF>`,
		`<XJDF ` + second + `><ResourceSet><Resource><QualityControlParams>` + strip(patch(`Lab="1 2 3"`)) +
			`</QualityControlParams></Resource></ResourceSet></XJDF>`,
		`<JDF ` + first + `><ResourcePool><QualityControlParams><RegistrationQuality Offset="1 2"/></QualityControlParams>` +
			`</ResourcePool></JDF>`, ``, `<html/>`,
	} {
		ms, found := Read(document(t, "a", text))
		require.Empty(t, ms, text)
		require.Empty(t, found, text)
	}
}

// Ink keys are presettings in a ticket, and measured once an audit or a message
// tells of them.
func TestToldKeys(t *testing.T) {
	pool := `<ResourcePool><InkZoneProfile ID="Z" ZoneWidth="90" PartIDKeys="Separation">` +
		`<InkZoneProfile Separation="Cyan" ZoneSettingsX="0.1 0.25"/></InkZoneProfile></ResourcePool>`
	ms, _ := Read(document(t, "a", `<JDF `+first+`>`+pool+`</JDF>`))
	require.Len(t, ms, 2)
	require.Equal(t, []any{Preset, 2, 25.0, "Cyan"}, []any{ms[1].Usage, ms[1].Zone, ms[1].Value, ms[1].Colorant})
	ms, _ = Read(document(t, "a", `<JDF `+first+`>`+pool+`<AuditPool><ResourceAudit TimeStamp="2026-11-25T12:00:00Z">`+
		`<InkZoneProfileLink rRef="Z" Usage="Input"/></ResourceAudit></AuditPool></JDF>`))
	require.Equal(t, Standard, ms[0].Usage)
	require.Equal(t, 12, ms[0].Time.Hour())
}

// A large ticket takes time in proportion, however it is built.
func TestLinear(t *testing.T) {
	const n = 10_000
	for name, text := range map[string]string{
		"partitions": `<JDF ` + first + `><ResourcePool><QualityControlResult ID="Q">` + offset +
			strings.Repeat(`<QualityControlResult Side="Front"/>`, n) + `</QualityControlResult></ResourcePool></JDF>`,
		"results of one strip": `<JDF ` + first + `><ResourcePool><ColorControlStrip ID="S">` +
			strings.Repeat(`<Patch Lab="1 2 3"/>`, n) + strings.Repeat(`<QualityControlResult/>`, n) +
			`</ColorControlStrip></ResourcePool></JDF>`,
		"sets": `<XJDF ` + second + `>` + strings.Repeat(`<ResourceSet><Resource>`+result+`</Resource></ResourceSet>`, n) +
			`</XJDF>`,
		"signals without header": `<XJMF ` + second + `>` + strings.Repeat(`<SignalResource><ResourceInfo><ResourceSet>`+
			`<Resource>`+result+`</Resource></ResourceSet></ResourceInfo></SignalResource>`, n) + `</XJMF>`,
		"parts": `<XJDF ` + second + `><ResourceSet><Resource>` + strings.Repeat(`<Part Side="Front"/>`, n) +
			strings.Repeat(result, n) + `</Resource></ResourceSet></XJDF>`,
		"patches": quality(strip(strings.Repeat(patch(`Density="0.1"`), n)+
			strings.Repeat(patch(`Density="0.5"`, "Cyan", "0.5"), n)+patch(`Density="1.5"`, "Cyan", "1")), ""),
	} {
		doc := document(t, "a", text)
		began := time.Now()
		ms, _ := Read(doc)
		require.NotEmpty(t, ms, name)
		Judge(ms, aims(t), gloss)
		require.Less(t, time.Since(began), 20*time.Second, name)
		t.Log(name, len(ms), time.Since(began))
	}
}
