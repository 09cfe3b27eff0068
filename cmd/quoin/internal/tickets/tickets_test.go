package tickets_test

import (
	"bytes"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/tickets"
	"quoin/jdf"
	"quoin/testdata/standard"
	"quoin/validate"
	"quoin/validate/structure"
)

type write func(w io.Writer, size int, faults tickets.Faults) error

var generations = map[string]write{"jdf": tickets.JDF, "xjdf": tickets.XJDF}

func text(t *testing.T, w write, size int, faults tickets.Faults) string {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, w(&out, size, faults))
	return out.String()
}

// Tickets have their size and as many findings as asked for, and are the same
// each time.
func TestTickets(t *testing.T) {
	for name, w := range generations {
		for _, size := range []int{10_000, 300_000} {
			for _, faults := range []tickets.Faults{0, 1, 25} {
				one := text(t, w, size, faults)
				require.Equal(t, one, text(t, w, size, faults))
				require.InDelta(t, size, len(one), 3000, name)
				doc, bad, err := jdf.Read(name, bytes.NewReader([]byte(one)), jdf.Limits{})
				require.NoError(t, err)
				require.Empty(t, bad)
				found := 0
				structure.Check(doc, structure.Options{}, func(f validate.Finding) {
					require.Equal(t, "schema/unknown-attribute", f.Rule.ID)
					found++
				})
				require.Equal(t, int(faults), found, name)
			}
		}
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, os.ErrClosed }

func TestFullDisk(t *testing.T) {
	for _, w := range generations {
		require.ErrorIs(t, w(full{}, 10_000, 0), os.ErrClosed)
	}
}

// Source: the published schema, read by an independent processor.
func TestTicketsAreValid(t *testing.T) {
	lint, err := exec.LookPath("xmllint")
	if err != nil {
		require.Empty(t, os.Getenv("CI"), "CI needs xmllint of libxml2")
		t.Skip("xmllint of libxml2 is not installed")
	}
	dir := standard.Dir(t)
	scratch := t.TempDir()
	files, err := filepath.Glob(filepath.Join(dir, "jdf", "*.xsd"))
	require.NoError(t, err)
	require.Len(t, files, 8)
	for _, f := range files {
		data, err := os.ReadFile(f)
		require.NoError(t, err)
		// xmllint refuses the published escape of a tilde.
		data = bytes.ReplaceAll(data, []byte(`\~`), []byte(`~`))
		require.NoError(t, os.WriteFile(filepath.Join(scratch, filepath.Base(f)), data, 0o600))
	}
	schemas := map[string]string{
		"jdf": filepath.Join(scratch, "JDF.xsd"), "xjdf": filepath.Join(dir, "xjdf", "xjdf.xsd"),
	}
	for name, w := range generations {
		path := filepath.Join(scratch, "ticket."+name)
		require.NoError(t, os.WriteFile(path, []byte(text(t, w, 100_000, 0)), 0o600))
		out, err := exec.Command(lint, "--noout", "--schema", schemas[name], path).CombinedOutput()
		require.NoError(t, err, "%s", out)
	}
}
