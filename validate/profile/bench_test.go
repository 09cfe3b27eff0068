package profile_test

import (
	"strings"
	"testing"

	"quoin/jdf/job"
	"quoin/validate"
	"quoin/validate/profile"
)

func BenchmarkLoad(b *testing.B) {
	for b.Loop() {
		if _, findings, err := profile.Load("base-1"); err != nil || len(findings) > 0 {
			b.Fatal(err, findings)
		}
	}
}

// BenchmarkLarge holds a ticket of 50,000 nodes, each with two resources and
// two links, against a profile; none of its clauses may be left undecided.
func BenchmarkLarge(b *testing.B) {
	p := load(b, "base-1")
	const node = `<JDF ID="n" JobPartID="p" Type="Folding" Status="Part"><ResourcePool>` +
		`<NodeInfo ID="i" Class="Parameter" Status="Available" NodeStatus="Waiting"/>` +
		`<Media ID="m" Class="Consumable" Status="Available" Weight="90"/></ResourcePool>` +
		`<ResourceLinkPool><NodeInfoLink rRef="i" Usage="Input"/><MediaLink rRef="m" Usage="Input"/></ResourceLinkPool></JDF>`
	doc := document(b, `<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" ID="r" JobID="j" JobPartID="r" Type="Product"`+
		` Status="Waiting" Version="1.9" MaxVersion="1.9" ICSVersions="Base_L1-1.9">`+strings.Repeat(node, 50_000)+`</JDF>`)
	j := job.Decode(doc)
	b.SetBytes(int64(len(doc.Source.Text)))
	b.ReportAllocs()
	for b.Loop() {
		p.Check(doc, j, func(f validate.Finding) {
			if f.Rule.ID == "house/profile-undecided" {
				b.Fatal(f.Message())
			}
		})
	}
}
