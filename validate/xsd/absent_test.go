//go:build !libxml2 || !cgo

package xsd_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/validate/xsd"
)

func TestWithoutEngine(t *testing.T) {
	require.False(t, xsd.BuiltIn())
	require.Empty(t, xsd.Version())
	schema, err := xsd.Compile("any.xsd")
	require.Nil(t, schema)
	require.ErrorContains(t, err, "this build has no XSD engine; build it with `make build`")
}
