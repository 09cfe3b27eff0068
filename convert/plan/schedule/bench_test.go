package schedule

import (
	"context"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// twoHundred is 200 jobs of about six operations over some four weeks.
func twoHundred() []Work {
	random := rand.New(rand.NewPCG(200, 6))
	return randomWorks(random, 200, 3, monday, 28)
}

// monday is an ordinary one, with no clock change near.
var monday = time.Date(2026, 11, 23, 5, 0, 0, 0, time.UTC)

// Benchmark200Jobs lays 200 jobs on two shifts of the small plant, and reports
// what it came to beside the time.
func Benchmark200Jobs(b *testing.B) {
	w, p := twoHundred(), works(twoShifts(), zone(b, "Europe/Berlin"))
	operations := 0
	for _, one := range w {
		operations += len(one.Plan.Operations)
	}
	b.ReportAllocs()
	for b.Loop() {
		s, _, err := Make(context.Background(), w, p, Options{Now: monday})
		require.NoError(b, err)
		b.ReportMetric(float64(operations), "operations")
		b.ReportMetric(s.Totals.WeightedLate.Gap, "late-gap-%")
		b.ReportMetric(s.Totals.Makespan.Gap, "makespan-gap-%")
		b.ReportMetric(s.Totals.Changeover.Gap, "changeover-gap-%")
		b.ReportMetric(float64(s.Totals.LateJobs), "late-jobs")
	}
}
