package emit

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/convert/plan"
	"quoin/jdf/job"
	"quoin/validate"
)

// TestPlannedAgain plans from the tree of a plan, which describes no product but
// fixes how everything is made: the same sheets on the same machines come of it.
func TestPlannedAgain(t *testing.T) {
	works := saltmarsh(t)
	for _, c := range cases {
		pl, _ := emitted(t, c.job)
		j := job.Decode(read(t, Tickets(pl, c.job, in(JDF))[0]))
		require.Empty(t, j.Products)
		again, findings := plan.Make(j, works, plan.Options{})
		for _, f := range findings {
			require.Equal(t, validate.Warning, f.Severity, "%s: %s", c.name, f.Message())
		}
		require.NotNil(t, again, c.name)
		require.Equal(t, sketch(pl), sketch(again), c.name)
		require.GreaterOrEqual(t, again.Quantity, pl.Quantity, c.name)
	}
}

// sketch is what of a plan the ticket has fixed. The plates of a turned form do not
// tell its sides apart.
func sketch(pl *plan.Plan) string {
	var all []string
	for _, s := range pl.Sheets {
		front, back := s.Front, s.Back
		if f := faces(s); len(f) == 1 && len(back) > 0 {
			front, back = f[0].colors, nil
		}
		all = append(all, fmt.Sprintf("%s on %s: %s of %s, %s, %d-up, fold %q, %v/%v",
			s.Name, s.Press, s.Size, s.Stock.ID, s.Style, s.Ups(), s.Fold, front, back))
	}
	for _, o := range pl.Operations {
		all = append(all, fmt.Sprintf("%s %s %s", o.Step, o.Sheet, o.Device))
	}
	pages := max(pl.Pages, pl.Sheets[0].PiecePages)
	return strings.Join(append(all, fmt.Sprintf("%s %s, %d pages", pl.Kind, pl.Finished, pages)), "\n")
}
