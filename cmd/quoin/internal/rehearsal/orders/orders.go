package orders

import (
	"fmt"
	"math"
	"strconv"
	"time"

	"github.com/beevik/etree"

	"quoin/cmd/quoin/internal/rehearsal"
	"quoin/validate/plant"
)

// Order is one order of a customer.
type Order struct {
	Job      string
	Name     string
	Customer Customer
	Product  string // leaflet, folded leaflet, card, booklet or book
	Quantity int
	Placed   time.Time
	Due      time.Time
	Doc      *etree.Document // XJDF
}

// Customer is somebody who orders.
type Customer struct{ ID, Name string }

// customers are made up, and so are the names of what they order.
var customers = []struct {
	name   string
	titles []string
}{
	{"Brackwater Harbour Office", []string{"Tide tables", "Mooring rules", "Harbour dues"}},
	{"Millwright Theatre", []string{"Playbill", "Season programme", "Ticket offers"}},
	{"Fernleigh Seed Growers", []string{"Spring seed list", "Sowing calendar", "Planting guide"}},
	{"Oddfellow Lane School", []string{"Yearbook", "Open day", "Prize giving"}},
	{"Windrush Cycle Club", []string{"Route cards", "Club rules", "Summer rally"}},
	{"Lantern Street Bakery", []string{"Price card", "Festive orders", "Loyalty card"}},
	{"Copperbeech Clinic", []string{"Patient advice", "Appointment card", "Annual review"}},
	{"Hollowbrook Museum", []string{"Gallery guide", "Exhibition leaflet", "Collection handbook"}},
	{"Tarn and Fell Walking Trust", []string{"Walks in the hills", "Path map", "Members' handbook"}},
	{"Quayside Choral Society", []string{"Concert programme", "Song book", "Invitation"}},
	{"Greywether Parish", []string{"Parish letter", "Fete leaflet", "Hymn sheet"}},
	{"Starling Toy Works", []string{"Assembly guide", "Toy catalogue", "Warranty card"}},
}

// kind is a sort of product with what it may be.
type kind struct {
	name     string
	weight   float64
	quantity [2]float64
	formats  [][2]int // closed, in millimetres
}

var kinds = []kind{
	{"leaflet", 34, [2]float64{500, 200000}, [][2]int{{148, 210}, {105, 148}, {210, 297}, {99, 210}}},
	{"folded leaflet", 18, [2]float64{1000, 60000}, [][2]int{{99, 210}, {105, 148}, {148, 210}}},
	{"card", 20, [2]float64{200, 20000}, [][2]int{{105, 148}, {85, 55}, {148, 210}, {120, 120}}},
	{"booklet", 18, [2]float64{300, 20000}, [][2]int{{148, 210}, {105, 148}, {210, 297}}},
	{"book", 10, [2]float64{200, 4000}, [][2]int{{148, 210}, {120, 190}}},
}

// draft is an order in the making.
type draft struct {
	*rehearsal.Dice
	plant  *plant.Plant
	kind   kind
	format [2]int
	ticket *ticket
}

// Make draws an order. The same seed, number and attempt give the same order;
// another attempt gives another, where the plant can not make the first.
func Make(p *plant.Plant, seed uint64, number, attempt int, placed time.Time) Order {
	d := rehearsal.Throw(seed, "order", strconv.Itoa(number), strconv.Itoa(attempt))
	weights := make([]float64, len(kinds))
	for i, k := range kinds {
		weights[i] = k.weight
	}
	w := &draft{Dice: d, plant: p, kind: kinds[d.Weighted(weights...)]}
	w.format = w.kind.formats[d.Whole(0, len(w.kind.formats)-1)]
	who := d.Whole(0, len(customers)-1)
	titles := customers[who].titles
	o := Order{
		Job:      fmt.Sprintf("SPW-%d", 2000+number),
		Name:     titles[d.Whole(0, len(titles)-1)],
		Customer: Customer{fmt.Sprintf("K-%03d", 11+who*7), customers[who].name},
		Product:  w.kind.name, Quantity: rounded(d.Scale(w.kind.quantity[0], w.kind.quantity[1])),
		Placed: placed,
	}
	local := placed.In(p.Zone)
	o.Due = time.Date(local.Year(), local.Month(), local.Day()+w.days(), 16, 0, 0, 0, p.Zone)
	w.ticket = newTicket(o)
	w.product(o)
	w.ticket.doc.Indent(2)
	o.Doc = w.ticket.doc
	return o
}

// days is how long the customer gives the works.
func (w *draft) days() int {
	switch w.kind.name {
	case "booklet":
		return w.Whole(5, 12)
	case "book":
		return w.Whole(7, 15)
	}
	return w.Whole(2, 9)
}

// rounded makes a quantity such as customers order: two leading figures.
func rounded(v float64) int {
	unit := math.Pow(10, math.Floor(math.Log10(v))-1)
	return int(math.Round(v/unit) * unit)
}

// product writes what is ordered.
func (w *draft) product(o Order) {
	switch w.kind.name {
	case "leaflet":
		w.flat(o, "Flyer", "", 2, w.stock(90, 170))
	case "card":
		w.flat(o, "Postcard", "", 2, w.stock(250, 300))
	case "folded leaflet":
		folds := []struct {
			code  string
			pages int
		}{{"F4-1", 4}, {"F6-2", 6}, {"F8-2", 8}}
		f := folds[w.Whole(0, len(folds)-1)]
		w.flat(o, "Brochure", f.code, f.pages, w.stock(90, 170))
	case "booklet":
		w.book(o, "SaddleStitch", 4*w.Whole(2, 12), w.stock(90, 135))
	default:
		w.book(o, "SoftCover", 2*w.Whole(40, 120), w.stock(90, 120))
	}
}

// flat is a product of one sheet.
func (w *draft) flat(o Order, name, fold string, pages int, paper *plant.Stock) {
	p := w.ticket.product("product", o.Quantity, o.Name, name, true)
	front, back := w.colors()
	if fold != "" {
		back = front
	}
	colors(p, front, back, w.Whole(12, 36))
	if fold != "" {
		set(intent(p, "FoldingIntent"), "FoldCatalog", fold)
	}
	layout(p, w.format, pages, back != "")
	media(p, paper)
}

// book is a product of a cover and a body.
func (w *draft) book(o Order, binding string, pages int, paper *plant.Stock) {
	p := w.ticket.product("product", o.Quantity, o.Name, "Brochure", true)
	set(intent(p, "BindingIntent"), "BindingType", binding, "BindingSide", "Left", "ChildRefs", "cover body")
	layout(p, w.format, 0, false)
	cover := w.ticket.product("cover", 0, "", "Cover", false)
	backs := []string{process, "", "Black"}
	colors(cover, process, backs[w.Weighted(5, 3, 1)], w.Whole(20, 40))
	layout(cover, w.format, 4, true)
	media(cover, w.stock(170, 250))
	body := w.ticket.product("body", 0, "", "Body", false)
	inside := []string{process, "Black"}[w.Weighted(3, 2)]
	colors(body, inside, inside, w.Whole(10, 25))
	layout(body, w.format, pages, true)
	media(body, paper)
}

const process = "Cyan Magenta Yellow Black"

// colors draws the colours of a single sheet.
func (w *draft) colors() (front, back string) {
	choice := [][2]string{
		{process, process}, {process, ""}, {process, "Black"}, {"Black", "Black"}, {"Black", ""},
		{special(w.plant), special(w.plant)},
	}[w.Weighted(10, 4, 2, 2, 1, 1)]
	return choice[0], choice[1]
}

// special is black with the first special ink of the plant, where it has one.
func special(p *plant.Plant) string {
	for _, k := range p.Inks {
		if k.Kind == "special" {
			return "Black " + k.ID
		}
	}
	return process
}

// stock draws a paper of the plant in a range of weights; any paper, where it
// has none there.
func (w *draft) stock(from, to float64) *plant.Stock {
	var all []*plant.Stock
	for _, s := range w.plant.Stocks {
		if s.Grammage >= from && s.Grammage <= to {
			all = append(all, s)
		}
	}
	if len(all) == 0 {
		all = w.plant.Stocks
	}
	return all[w.Whole(0, len(all)-1)]
}
