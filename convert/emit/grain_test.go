package emit

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/convert/plan"
	"quoin/jdf/job"
	"quoin/validate"
	"quoin/validate/plant"
)

// TestOneGrain: what a plan notes of the grain of a sheet that goes whole to the
// folder, the check of its tickets finds, and nothing else, in either generation.
func TestOneGrain(t *testing.T) {
	works := saltmarsh(t)
	for _, s := range works.Stocks {
		s.Grain = map[string]string{"long": "short", "short": "long"}[s.Grain]
	}
	judged := map[bool]int{}
	for _, swap := range []bool{false, true} {
		if swap {
			works = saltmarsh(t)
		}
		for _, pages := range []int{16, 24, 32, 40, 48} {
			for _, size := range [][2]float64{{210, 297}, {148, 210}, {297, 210}, {210, 210}} {
				j := product(func(p *job.Product) {
					p.Size, p.Binding.Type, p.Pages = fact(shape(size[0], size[1])), fact("SaddleStitch"), fact(pages)
				})
				pl, _ := plan.Make(j, works, plan.Options{})
				if pl == nil {
					continue // the plant can not make it
				}
				for _, form := range both {
					checkGrain(t, works, pl, form, judged, fmt.Sprintf("%d pages of %v as %s", pages, size, form))
				}
			}
		}
	}
	require.Greater(t, judged[true], 10)
	require.Greater(t, judged[false], 10)
}

func checkGrain(t *testing.T, works *plant.Plant, pl *plan.Plan, form Form, judged map[bool]int, name string) {
	t.Helper()
	noted := ""
	for _, n := range pl.Notes {
		if strings.Contains(n, "against the grain") {
			noted = strings.NewReplacer(",", " ", ";", " ").Replace(n)
		}
	}
	found := map[string]bool{}
	for _, k := range Tickets(pl, nil, in(form)) {
		plant.Check(job.Decode(read(t, k)), works, func(f validate.Finding) {
			if f.Rule.ID == "plant/fold-against-grain" {
				found[k.Name], found[string(form.String())] = true, true
			}
		})
	}
	whole := false
	for i, o := range pl.Operations {
		if o.Step != plan.StepFold {
			continue
		}
		s := pl.Sheets[slices.IndexFunc(pl.Sheets, func(s *plan.Sheet) bool { return s.Name == o.Sheet })]
		if !s.Uncut {
			continue
		}
		want := slices.Contains(strings.Fields(noted), s.Name)
		judged[want]++
		whole = whole || want
		if form == XJDF {
			ticket := Tickets(pl, nil, in(form))[i].Name
			require.Equal(t, want, found[ticket], "%s: %s", name, ticket)
		}
	}
	require.Equal(t, whole, found[form.String()], name)
}
