package plant

import (
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/value"
)

func step1(process string, sheet *job.Media) *job.Job { return jobOf(op(process, sheet)) }

// filmed is a product with a film.
func filmed(surface, texture string) *job.Job {
	return sheetProduct(func(p *job.Product) {
		p.Lamination = job.Lamination{Surface: given(surface), Texture: given(texture)}
	})
}

// covered is a glued book with a cover of its own.
func covered(weight float64) *job.Job {
	j := book("SoftCover", 160, 100, 210, 297)
	block, cover := *j.Products[0], job.Product{Type: given("Cover"), Pages: given(4)}
	block.Binding, block.Root = job.Binding{}, false
	cover.Media.Weight, cover.Media.Thickness = given(weight), given(200.0)
	j.Products[0].Parts = []*job.Product{&cover, &block}
	return j
}

// inked is a run on the B2 press with so much ink on the front.
func inked(percent string) *job.Job {
	j := sheetProduct(func(p *job.Product) { p.Front.Coverage = given(decimal.RequireFromString(percent)) })
	j.Operations = press("offset-b2", paper(640, 450, 135)).Operations
	return j
}

func grain(m *job.Media, edge string) *job.Media {
	m.Grain = given(edge)
	return m
}

// creased is a job with a step that creases.
func creased(j *job.Job) *job.Job {
	j.Operations = append([]*job.Operation{{Type: "Creasing"}}, j.Operations...)
	return j
}

func moment(text string) job.Fact[value.DateTime] {
	d, err := value.ParseDateTime(text)
	if err != nil {
		panic(err)
	}
	return given(d)
}

// dried is a run that ends at ten, and cutting that begins then.
func dried(device, begins string) *job.Job {
	j := press(device, paper(640, 450, 135))
	j.Operations[0].Schedule.End = moment("2026-11-25T10:00:00Z")
	cut := op("Cutting", paper(640, 450, 135))
	cut.Schedule.Start = moment(begins)
	j.Operations = append(j.Operations, cut)
	return j
}

// What follows drying is linked by its components where the ticket has them.
func TestDryingOfLinkedSteps(t *testing.T) {
	p := loadDemo(t)
	j := dried("offset-b2", "2026-11-25T11:00:00Z")
	own, other := &job.Component{Size: shape(640, 450)}, &job.Component{Size: shape(640, 450)}
	j.Operations[0].Outputs = []*job.Use{{Component: own}}
	j.Operations[1].Inputs = []*job.Use{{Component: other}}
	require.Empty(t, ids(check(j, p)), "it cuts the sheets of another run")
	j.Operations[1].Inputs[0].Component = own
	require.Equal(t, []string{"drying-time"}, ids(check(j, p)))
	j.Operations[0].Printing = &job.Printing{Drying: given("UV")}
	require.NotContains(t, ids(check(j, p)), "drying-time", "cured inks are dry")
}

func TestFilmKinds(t *testing.T) {
	p := *loadDemo(t)
	l := *p.Laminators[0]
	l.Films = []string{"gloss"}
	p.Laminators = []*Laminator{&l}
	found := check(filmed("Front", "Matte"), &p)
	require.Equal(t, []string{"no-film"}, ids(found))
	require.Equal(t, "film is Matte: laminator-1 lays gloss only", found[0].Message())
	require.Equal(t, "ask for another film; gloss instead of Matte fits laminator-1", found[0].Advice())
	require.Empty(t, ids(check(filmed("Front", "Gloss"), &p)))
	require.Empty(t, ids(check(filmed("Front", "Antique"), &p)), "a texture that names no film")
	p.Laminators = nil
	require.Equal(t, []string{"no-device"}, ids(check(filmed("Front", "Gloss"), &p)))
}

// Hand work takes the place of a machine that is not there, and of a binding.
func TestHandWork(t *testing.T) {
	p := *loadDemo(t)
	p.HandWork = []*HandWork{
		{Machine: Machine{ID: "bench-film"}, Task: "Laminating"}, {Machine: Machine{ID: "bench-case"}, Task: "HardCover"},
	}
	require.Empty(t, ids(check(book("HardCover", 160, 100, 210, 297), &p)))
	wide := step1("Laminating", paper(900, 900, 200))
	require.Equal(t, []string{"film-width"}, ids(check(wide, &p)), "the machine is there")
	wide.Operations[0].Devices = []*job.Device{{ID: given("bench-film")}}
	require.Empty(t, ids(check(wide, &p)), "the ticket asks for hands")
	p.Laminators = nil
	wide.Operations[0].Devices = nil
	require.Empty(t, ids(check(wide, &p)))
	require.Equal(t, []string{"no-device"}, ids(check(step1("ShapeCutting", nil), &Plant{Name: "Bare"})))
}

// A coating by plate is for presses; one beside them may be on either.
func TestVarnishingMachines(t *testing.T) {
	p := loadDemo(t)
	varnish := func(method, device string) *job.Job {
		j := step1("Varnishing", paper(700, 500, 200))
		j.Operations[0].Varnish = &job.Varnish{}
		if method != "" {
			j.Operations[0].Varnish.Method = job.Of(method, jdf.Place{})
		}
		if device != "" {
			j.Operations[0].Devices = []*job.Device{{ID: given(device)}}
		}
		return j
	}
	require.Equal(t, []string{"only-device"}, ids(check(varnish("Plate", ""), p)))
	require.Empty(t, ids(check(varnish("", "varnisher-1"), p)))
	require.Equal(t, []string{"wrong-device"}, ids(check(varnish("", "folder-1"), p)))
	wide := varnish("Independent", "varnisher-1")
	wide.Operations[0].Inputs[0].Media.Size = pair(760, 530)
	require.Equal(t, []string{"sheet-too-large"}, ids(check(wide, p)))
}

// A creaser in the folder, or no figure for creases, asks for none.
func TestCreaser(t *testing.T) {
	p := *loadDemo(t)
	heavy := func() *job.Job { return fold("F4-1", paper(420, 297, 200)) }
	require.Equal(t, []string{"score-first"}, ids(check(heavy(), &p)))
	f := *p.Folders[0]
	f.Creaser = true
	p.Folders = []*Folder{&f}
	require.Empty(t, ids(check(heavy(), &p)))
	f.Creaser, p.Score = false, Score{}
	require.Empty(t, ids(check(heavy(), &p)))
	require.Empty(t, ids(check(fold("F2-1", paper(420, 297, 200)), loadDemo(t))), "a sheet that is not folded")
}

// A part that was cut from the sheet may have been turned, so that the grain of
// the sheet tells nothing of its folds.
func TestGrainOfParts(t *testing.T) {
	j := fold("F4-1", nil)
	c := &job.Component{Size: shape(420, 297), Media: grain(paper(420, 297, 100), "XDirection")}
	j.Operations[0].Inputs = []*job.Use{{Component: c}}
	require.Equal(t, []string{"fold-against-grain"}, ids(check(j, loadDemo(t))))
	c.Media.Size = pair(840, 594)
	require.Empty(t, ids(check(j, loadDemo(t))))
}

// Push-out of the innermost sheet.
// Source: trade vectors, 32 pages of 0.10 mm give 0.7 mm, 64 pages of 0.09 mm give 1.35 mm.
func TestCreep(t *testing.T) {
	for _, c := range []struct {
		pages         int
		caliper, want float64
	}{{32, 100, 700}, {64, 90, 1350}, {4, 100, 0}} {
		j := book("SaddleStitch", c.pages, c.caliper, 210, 297)
		w := newChecker(j, loadDemo(t), nil).bindingWork(j.Products[0], false)
		require.InDelta(t, c.want, w.creep.Value, 1e-9, c.pages)
	}
}
