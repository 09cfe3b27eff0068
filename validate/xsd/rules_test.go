package xsd_test

import (
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/validate"
	"quoin/validate/xsd"
)

func TestRules(t *testing.T) {
	require.Len(t, xsd.Rules(), 5)
	for _, r := range xsd.Rules() {
		require.Regexp(t, regexp.MustCompile(`^schema/xsd(-[a-z]+)?$`), r.ID)
		require.Equal(t, validate.GroupSchema, r.Group())
		require.NotEmpty(t, r.Say)
		require.NotEmpty(t, r.Why)
		require.NotZero(t, r.Severity)
		require.NotEmpty(t, r.Mends)
	}
}
