package cost_test

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/convert/cost"
	"quoin/validate"
)

func TestRules(t *testing.T) {
	seen := map[string]bool{}
	slug := regexp.MustCompile(`^audit/[a-z]+(-[a-z]+)*$`)
	for _, r := range cost.Rules() {
		require.Regexp(t, slug, r.ID)
		require.False(t, seen[r.ID], r.ID)
		seen[r.ID] = true
		require.Equal(t, validate.GroupAudit, r.Group())
		require.NotZero(t, r.Severity)
		require.NotEmpty(t, r.Mends)
		require.NotEmpty(t, r.Say)
		require.NotEmpty(t, r.Why)
		require.False(t, strings.HasSuffix(r.Say, "."), r.ID)
	}
	require.Len(t, seen, 22)
}
