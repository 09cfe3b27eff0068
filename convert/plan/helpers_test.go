package plan

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate"
	"quoin/validate/plant"
)

func saltmarsh(t testing.TB) *plant.Plant {
	t.Helper()
	p, findings, err := plant.LoadFile(filepath.Join("..", "..", "testdata", "plant", "saltmarsh.yaml"))
	require.NoError(t, err)
	require.Empty(t, findings)
	return p
}

func ticket(t testing.TB, name string) *job.Job {
	t.Helper()
	doc, faults, err := jdf.ReadFile(filepath.Join("testdata", name), jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults)
	return job.Decode(doc)
}

// inline decodes a ticket given as text.
func inline(t testing.TB, xml string) *job.Job {
	t.Helper()
	doc, faults, err := jdf.Read("job.xjdf", strings.NewReader(xml), jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults)
	return job.Decode(doc)
}

func made(t testing.TB, j *job.Job, p *plant.Plant) *Plan {
	t.Helper()
	pl, findings := Make(j, p, Options{})
	for _, f := range findings {
		require.Equal(t, validate.Warning, f.Severity, "%s: %s", f.Rule.ID, f.Message())
	}
	require.NotNil(t, pl)
	return pl
}

func dec(s string) decimal.Decimal { return decimal.RequireFromString(s) }

// read is the text of a ticket of this package.
func read(t testing.TB, name string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", name))
	require.NoError(t, err)
	return string(text)
}
