package convert

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
)

// The losses of all published samples, counted by what is lost and why, most
// frequent first: what falls away when whole archives are converted.
//
// Source: the published samples.
func TestCausesOfLoss(t *testing.T) {
	var out strings.Builder
	for _, kind := range []jdf.Kind{jdf.KindJDF, jdf.KindXJDF, jdf.KindJMF, jdf.KindXJMF} {
		count, samples := map[string]int{}, map[string]map[string]bool{}
		pieces, lost := 0, 0
		for name, doc := range samplesOf(t, kind) {
			r, err := To([]*jdf.Document{doc}, other[kind], Options{Clock: noon})
			require.NoError(t, err)
			for i := range r.All() {
				if i.What == Element || i.What == Attribute {
					pieces++
				}
				if i.Outcome != Lost || i.What == Remark {
					continue
				}
				lost++
				key := i.Name + ": " + i.Reason
				if count[key]++; samples[key] == nil {
					samples[key] = map[string]bool{}
				}
				samples[key][name] = true
			}
		}
		fmt.Fprintf(&out, "%s to %s: %d of %d elements and attributes are lost\n", kind, other[kind], lost, pieces)
		keys := sorted(count)
		slices.SortStableFunc(keys, func(a, b string) int { return count[b] - count[a] })
		for _, k := range keys {
			fmt.Fprintf(&out, "%6d in %d samples  %s\n", count[k], len(samples[k]), k)
		}
	}
	golden(t, "testdata/causes.txt", out.String())
}
