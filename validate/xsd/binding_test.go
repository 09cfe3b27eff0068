//go:build libxml2 && cgo

package xsd_test

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
	xsdvalidate "github.com/terminalstatic/go-xsd-validate"

	"quoin/jdf"
	"quoin/testdata/standard"
	"quoin/validate"
	"quoin/validate/xsd"
)

// A second way into libxml2, the binding for Go, gives the same verdict on
// every sample of the second generation, and as many faults. It can not load
// the published schema of the first, whose escapes it does not mend.
//
// Source: the published XJDF schema and samples; go-xsd-validate as the judge.
func TestBindingAgrees(t *testing.T) {
	path := filepath.Join(standard.Dir(t), "xjdf", "xjdf.xsd")
	require.NoError(t, xsdvalidate.Init())
	defer xsdvalidate.Cleanup()
	judge, err := xsdvalidate.NewXsdHandlerUrl(path, xsdvalidate.ParsErrVerbose)
	require.NoError(t, err)
	defer judge.Free()
	schema, err := xsd.Compile(path)
	require.NoError(t, err)

	judged, faulty := 0, 0
	for _, sample := range standard.Samples(t) {
		doc, faults, err := jdf.ReadFile(sample, jdf.Limits{})
		require.NoError(t, err)
		require.Empty(t, faults)
		ours := 0
		require.NoError(t, schema.Check(doc, func(validate.Finding) { ours++ }))
		text, err := os.ReadFile(sample)
		require.NoError(t, err)
		err = judge.ValidateMem(text, xsdvalidate.ValidErrDefault)
		var said xsdvalidate.ValidationError
		theirs := 0
		if errors.As(err, &said) {
			theirs = len(said.Errors)
		} else {
			require.NoError(t, err, sample)
		}
		require.Equal(t, theirs, ours, sample)
		judged++
		if theirs > 0 {
			faulty++
		}
	}
	require.Equal(t, standard.SampleCount, judged)
	require.Positive(t, faulty, "samples of the other generation fail here")
}
