package structure

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/validate"
)

// checkText checks a ticket given as text.
func checkText(t testing.TB, text string, opt Options) []validate.Finding {
	t.Helper()
	doc, faults, err := jdf.Read("ticket", strings.NewReader(text), jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults)
	var out []validate.Finding
	Check(doc, opt, func(f validate.Finding) { out = append(out, f) })
	return out
}

const xjdfHead = `<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="SPW-1" Types="Cutting">`
const jdfHead = `<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" ID="N1" Type="Product" Status="Waiting" Version="1.5">`

// A ticket with very many faults takes time by their number, not by its square.
// The square of these numbers would take minutes.
func TestManyFaults(t *testing.T) {
	n := 30_000
	if raceDetector {
		n = 3_000
	}
	resource := func(inner string) string {
		return xjdfHead + `<ResourceSet Name="Media"><Resource>` + inner + `</Resource></ResourceSet></XJDF>`
	}
	distinct := &strings.Builder{}
	for i := range n {
		distinct.WriteString("<Meida" + strings.Repeat("x", i%30) + string(rune('a'+i%26)) + "/>")
	}
	pool := func(inner string) string { return jdfHead + "<ResourcePool>" + inner + "</ResourcePool></JDF>" }
	plates := func(inner string) string {
		return pool(`<ExposedMedia ID="E1" Class="Handling" Status="Available" PartIDKeys="Side">` +
			inner + `</ExposedMedia>`)
	}
	part, plate := strings.Repeat("<Part/>", n), strings.Repeat(`<ExposedMedia Side="Front"/>`, n)
	child := `<JDF xmlns:i="http://www.w3.org/2001/XMLSchema-instance" i:type="Cuting"/>`
	for name, text := range map[string]string{
		"order":           resource(part + `<Media MediaType="Paper"/>` + part),
		"too many":        resource(strings.Repeat("<AmountPool/>", n)),
		"unknown":         pool(strings.Repeat(`<Meida/>`, n)),
		"distinct":        pool(distinct.String()),
		"wrong parent":    jdfHead + strings.Repeat(`<Media/>`, n) + "</JDF>",
		"abstract":        pool(strings.Repeat(`<Resource/>`, n)),
		"attribute":       resource(strings.Repeat(`<Part Shete="x"/>`, n)),
		"enumeration":     resource(strings.Repeat(`<Part Side="Fronnt"/>`, n)),
		"text":            resource(strings.Repeat(`<Part>x</Part>`, n)),
		"parts":           plates(plate),
		"parts but one":   plates(plate + `<ExposedMedia><Media/></ExposedMedia>`),
		"unknown xsitype": jdfHead + strings.Repeat(child, n) + `</JDF>`,
	} {
		t.Run(name, func(t *testing.T) {
			start := time.Now()
			findings := checkText(t, text, Options{})
			require.NotEmpty(t, findings)
			t.Logf("%d findings in %v", len(findings), time.Since(start))
			require.Less(t, time.Since(start), 20*time.Second)
		})
	}
}

func TestVersionOption(t *testing.T) {
	const text = jdfHead + `<ResourcePool>` +
		`<Address ID="A1" Class="Parameter" Status="Available" AddressUsage="Billing"/></ResourcePool></JDF>`
	require.Len(t, checkText(t, text, Options{}), 1, "declared 1.5")
	require.Empty(t, checkText(t, text, Options{Version: jdf.Version{Major: 1, Minor: 6}}))
	undeclared := strings.ReplaceAll(text, ` Version="1.5"`, "")
	require.Empty(t, checkText(t, undeclared, Options{}))
	require.Len(t, checkText(t, undeclared, Options{Version: jdf.Version{Major: 1, Minor: 2}}), 1)
}

// A node declares the version of what is inside it; without one it inherits.
func TestVersionIsInherited(t *testing.T) {
	inner := func(attr string) string {
		return jdfHead + `<JDF ID="N2" Type="ProcessGroup" Status="Waiting"` + attr + `><ResourcePool>` +
			`<Address ID="A1" Class="Parameter" Status="Available" AddressUsage="Billing"/></ResourcePool></JDF></JDF>`
	}
	require.Len(t, checkText(t, inner(""), Options{}), 1)
	require.Empty(t, checkText(t, inner(` Version="1.7"`), Options{}))
}

// What the type of a node says of its content holds without xsi:type.
func TestTypeIsFollowed(t *testing.T) {
	const text = `<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" ID="N1" Type="Cutting" Status="Waiting">` +
		`<JDF ID="N2" Type="Folding" Status="Waiting"/></JDF>`
	found := checkText(t, text, Options{})
	require.Len(t, found, 1)
	require.Equal(t, wrongParent, found[0].Rule)
	require.Empty(t, checkText(t, strings.Replace(text, "Cutting", "ProcessGroup", 1), Options{}))
}

// The namespaces that look like the standard's, and those that do not.
func TestLooksAlike(t *testing.T) {
	for uri, want := range map[string]bool{
		"http://www.CIP4.org/JDFSchema_1_1":         false,
		"http://www.CIP4.org/JDFSchema_2_0":         false,
		"http://www.cip4.org/JDFSchema_1_1":         true,
		"http://www.CIP4.org/JDFSchema_1_1/Invalid": true,
		"http://www.CIP4.org/JDFSchema_1_1_Illegal": true,
		"http://www.CIP4.org/jdfschema_2_0":         true,
		"https://www.CIP4.org/JDFSchema_2_0":        true,
		"http://www.CIP4.org/JDFSchema_2_0/":        true,
		"http://www.CIP4.org/JDFSchema_3_0":         true,
		"JDFSchema_1_1":                             true,
		"http://www.CIP4.org/EncodingExamples":      false, // of the published samples
		"http://www.saltmarsh.example/jdf":          false,
		"":                                          false,
	} {
		require.Equal(t, want, looksAlike(uri), uri)
	}
}

func TestRootOfFragment(t *testing.T) {
	found := checkText(t, `<PartAmount xmlns="http://www.CIP4.org/JDFSchema_1_1"/>`, Options{})
	require.Len(t, found, 1)
	require.Equal(t, wrongParent, found[0].Rule)
	require.Contains(t, found[0].Message(), "AmountPool")
	const address = `<Address xmlns="http://www.CIP4.org/JDFSchema_1_1" ID="A" Class="Parameter" Status="Draft"/>`
	require.Empty(t, checkText(t, address, Options{}))
}
