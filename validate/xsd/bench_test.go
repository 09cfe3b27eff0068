//go:build libxml2 && cgo

package xsd_test

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/testdata/standard"
	"quoin/validate"
	"quoin/validate/xsd"
)

// bigTicket writes an XJDF of about the size in bytes that the schema allows.
func bigTicket(size int) string {
	var out strings.Builder
	out.WriteString(`<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="J" Version="2.1"` +
		` Types="ConventionalPrinting">` + "\n" +
		`  <ResourceSet Name="Component" Usage="Output">` + "\n")
	for i := 0; out.Len() < size; i++ {
		fmt.Fprintf(&out, `    <Resource ID="C%d" DescriptiveName="Bogen %d" Status="Available">`+"\n"+
			`      <Part SheetName="S%d" Side="Front" Separation="Black"/>`+"\n"+
			`      <Component Dimensions="595.28 841.89 0" ProductType="BookBlock"/>`+"\n    </Resource>\n", i, i, i)
	}
	out.WriteString("  </ResourceSet>\n</XJDF>\n")
	return out.String()
}

// BenchmarkCheck sets the stage beside xmllint, which reads a file, and the
// schema anew each time.
func BenchmarkCheck(b *testing.B) {
	path := filepath.Join(standard.Dir(b), "xjdf", "xjdf.xsd")
	for _, size := range []int{4 << 10, 15 << 20} {
		text := bigTicket(size)
		file := filepath.Join(b.TempDir(), "t.xjdf")
		require.NoError(b, os.WriteFile(file, []byte(text), 0o600))
		b.Run(fmt.Sprintf("xsd/%d", size), func(b *testing.B) {
			schema, err := xsd.Compile(path)
			require.NoError(b, err)
			b.SetBytes(int64(len(text)))
			for b.Loop() {
				doc, faults, err := jdf.ReadFile(file, jdf.Limits{})
				require.NoError(b, err)
				require.Empty(b, faults)
				require.NoError(b, schema.Check(doc, func(f validate.Finding) {
					if f.Rule.ID != xsd.LargeRule {
						b.Fatal(f.Message())
					}
				}))
			}
		})
		for _, stream := range []string{"--stream", "--nonet"} {
			b.Run(fmt.Sprintf("xmllint%s/%d", stream, size), func(b *testing.B) {
				program, err := exec.LookPath("xmllint")
				if err != nil {
					b.Skip("xmllint is not installed")
				}
				b.SetBytes(int64(len(text)))
				for b.Loop() {
					out, err := exec.Command(program, "--noout", stream, "--schema", path, file).CombinedOutput()
					require.NoError(b, err, "%s", out)
				}
			})
		}
	}
}
