package rules

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// A name is never offered in its own place: a process of the other generation
// is among the known ones, and yet not what may stand there.
func TestNearIsAnotherName(t *testing.T) {
	known := processNames()
	require.True(t, slices.Contains(known, "LooseBinding"))
	p := &pass{}
	require.NotContains(t, p.near("LooseBinding", processNames), "mean LooseBinding?")
	require.Contains(t, p.near("LoseBinding", processNames), "mean LooseBinding?")
	require.Contains(t, p.near("Reendering", processNames), "mean Rendering?")
}
