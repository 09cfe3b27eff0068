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
	ready, path := pressMakeready(p, w, &plant.Stock{}, true)
	require.Equal(t, (8+3)*time.Minute+(5+3)*time.Minute, ready, "one plate is sooner made ready than the feeder")
	require.Equal(t, []string{"plates", "register"}, path)
	p.PlateChange, p.PlatesAtOnce = time.Minute, 4
	more, _ := pressMakeready(p, w, &plant.Stock{}, true)
	require.Equal(t, ready+2*time.Minute, more, "plates are changed beside the tasks")
	p.MakereadyTasks = nil
	plain, path := pressMakeready(p, w, &plant.Stock{}, true)
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

// TestStockMakeready: ten minutes and two plates of two minutes each, a form, twice; a
// quarter more over 170 g/m2, where three quarters of a second are a whole one.
func TestStockMakeready(t *testing.T) {
	p := tinyPlant().Presses[0]
	w, _ := printIn(p, WorkAndBack, ink{front: []string{"a", "b"}, back: []string{"a", "b"}}, 100)
	p.StockMakeready = []plant.Step{{UpTo: dec("170"), Value: dec("100")}, {Value: dec("125")}}
	for grams, want := range map[float64]time.Duration{
		170: 28 * time.Minute, 170.5: 35 * time.Minute, 300: 35 * time.Minute,
	} {
		ready, _ := pressMakeready(p, w, &plant.Stock{Grammage: grams}, true)
		require.Equal(t, want, ready, "%v g/m2", grams)
	}
}

// TestStockWaste: 2.5 % of running waste are 4 % on uncoated paper, and 600 good sheets
// take 600 / 0.96 = 625 and not 600 / 0.975 = 616.
func TestStockWaste(t *testing.T) {
	p := tinyPlant().Presses[0]
	p.StockWaste = []plant.StockWaste{{Coating: "none", Factor: dec("160")}, {Coating: "gloss", Factor: dec("80")}}
	w, _ := printIn(p, Simplex, ink{front: []string{"a"}}, 100)
	for coating, want := range map[string]int{"none": 25, "": 25, "silk": 16, "gloss": 13} {
		loss, ok := backPasses(600, p, w, &plant.Stock{Coating: coating}, true, plant.Yield)
		require.True(t, ok)
		require.Equal(t, want, loss.running, coating)
		require.Equal(t, 600+want+50, loss.in, "with twenty sheets of setup and thirty for the colour")
	}
	// A table whose first step reaches above the edge of the next: 500 good ones take
	// 500 / (1 - 0.064) = 535 on uncoated paper, and 501 no less.
	loss, _ := backPasses(501, p, w, &plant.Stock{Coating: "none"}, true, plant.Yield)
	require.Equal(t, 535-501, loss.running)
}

// TestStockKeysReachThePlan: a plan on heavy uncoated paper has both, to the second and
// to the sheet; without the keys it is what it was.
func TestStockKeysReachThePlan(t *testing.T) {
	j := flatJob(148, 210, 9000, []string{"Black", "Red"}, nil)
	printed := func(p *plant.Plant) *Operation {
		p.Presses = p.Presses[:1]
		for _, op := range made(t, j, p).Operations {
			if op.Print != nil {
				return op
			}
		}
		require.Fail(t, "nothing is printed")
		return nil
	}
	plain := printed(tinyPlant())
	with := tinyPlant()
	with.Presses[0].StockMakeready = []plant.Step{{UpTo: dec("99.5"), Value: dec("100")}, {Value: dec("150")}}
	for _, s := range with.Stocks {
		s.Coating = "none"
		require.Equal(t, 100.0, s.Grammage)
	}
	with.Presses[0].StockWaste = []plant.StockWaste{{Coating: "none", Factor: dec("200")}}
	op := printed(with)
	require.Equal(t, plain.Out, op.Out)
	require.Equal(t, plain.Makeready.Duration*3/2, op.Makeready.Duration)
	require.Equal(t, ceilDiv(op.Out*1000, 975)-op.Out, plain.RunningWaste, "2.5 %")
	require.Equal(t, ceilDiv(op.Out*100, 95)-op.Out, op.RunningWaste, "5 %")
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
