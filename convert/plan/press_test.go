package plan

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/validate/plant"
)

// TestMakereadyTasks: blankets are washed and the feeder is set beside the
// plates; register comes after both. Four units: plates take 4 x 2 min, feeder 5.
func TestMakereadyTasks(t *testing.T) {
	p := tinyPlant().Presses[0]
	p.Units, p.PlateChange = 4, 0
	p.MakereadyTasks = []plant.Task{
		{Name: "feeder", Time: 5 * time.Minute}, {Name: "plates", Time: 2 * time.Minute, PerUnit: true},
		{Name: "register", Time: 3 * time.Minute, After: []string{"feeder", "plates"}},
	}
	four := []string{"a", "b", "c", "d"}
	w, _ := printIn(p, WorkAndBack, ink{front: four, back: four[:1]}, 100)
	ready, path := pressMakeready(p, w, true)
	require.Equal(t, (8+3)*time.Minute+(5+3)*time.Minute, ready, "one plate is sooner made ready than the feeder")
	require.Equal(t, []string{"plates", "register"}, path)
	p.PlateChange, p.PlatesAtOnce = time.Minute, 4
	more, _ := pressMakeready(p, w, true)
	require.Equal(t, ready+2*time.Minute, more, "plates are changed beside the tasks")
	p.MakereadyTasks = nil
	plain, path := pressMakeready(p, w, true)
	require.Equal(t, 2*(10+1)*time.Minute, plain)
	require.Nil(t, path)
	pl := made(t, flatJob(148, 210, 9000, four, nil), func() *plant.Plant {
		works := tinyPlant()
		works.Presses = works.Presses[:1]
		works.Presses[0].MakereadyTasks = []plant.Task{{Name: "all of it", Time: time.Hour}}
		return works
	}())
	for _, o := range pl.Operations {
		if o.Print != nil {
			require.Equal(t, []string{"all of it"}, o.Print.Path)
			require.Equal(t, 2*time.Hour+8*time.Minute, o.Makeready.Duration, "two makereadies and four plates")
		}
	}
}

// TestStockSpeed: the curve over weight, then the share for the kind of paper.
func TestStockSpeed(t *testing.T) {
	p := tinyPlant().Presses[0]
	p.Speed = []plant.Step{{UpTo: dec("100"), Value: dec("8000")}, {Value: dec("6000")}}
	p.StockSpeed = []plant.StockSpeed{{Coating: "none", Factor: dec("90")}}
	for _, c := range []struct {
		grams   float64
		coating string
		style   Style
		want    string
	}{
		{100, "gloss", Simplex, "8000"}, {101, "gloss", Simplex, "6000"}, {100, "none", Simplex, "7200"},
		{100, "", WorkAndBack, "7200"}, {100, "None", Perfecting, "5760"},
	} {
		got := pressSpeed(p, c.style, &plant.Stock{Grammage: c.grams, Coating: c.coating})
		require.True(t, dec(c.want).Equal(got), "%v: %s", c, got)
	}
}

// TestInkLimit: a side with more ink than the press lays dry goes elsewhere.
func TestInkLimit(t *testing.T) {
	p := tinyPlant()
	p.Presses = p.Presses[:1]
	j := flatJob(148, 210, 9000, []string{"Black", "Red"}, nil)
	j.Products[0].Front.Coverage = given(dec("160"))
	p.Presses[0].InkLimit = dec("160")
	require.NotNil(t, made(t, j, p))
	p.Presses[0].InkLimit = dec("159")
	_, findings := Make(j, p, Options{})
	require.Contains(t, findings[0].Message(), "more ink on a side than the press lays dry")
}

// TestInkPrices: an ink of the plant file has a line of its own, with its film
// on the paper and its price; the others share one.
func TestInkPrices(t *testing.T) {
	p := tinyPlant()
	p.Presses = p.Presses[:1]
	j := flatJob(148, 210, 9000, []string{"Black", "Red"}, nil)
	lines := func() (list []*Material) {
		for _, m := range made(t, j, p).Materials {
			if m.Kind == Ink {
				list = append(list, m)
			}
		}
		return list
	}
	plain := lines()
	require.Len(t, plain, 1)
	p.Inks = []*plant.Ink{{
		ID: "r", Name: "red", Price: dec("30"), Film: []plant.StockFilm{{Coating: p.Stocks[0].Coating, Film: dec("3")}},
	}}
	split := lines()
	require.Len(t, split, 2)
	require.Equal(t, "Red", split[0].Name)
	require.Equal(t, "30", split[0].Price.String())
	require.True(t, split[0].Kilos.Sub(split[1].Kilos.Mul(dec("2"))).Abs().LessThan(dec("0.002")), "twice the film")
	require.True(t, split[1].Kilos.Sub(plain[0].Kilos.Div(dec("2"))).Abs().LessThan(dec("0.002")))
}
