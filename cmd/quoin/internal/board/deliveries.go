package board

import (
	"fmt"
	"net/http"
	"strconv"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/works"
)

type deliveriesPage struct {
	Dead       []deliveryView
	Chores     []*works.Chore // dead, other than those of deliveries
	Deliveries []deliveryView
	Show       string
	Choices    []option
	Pager      pager
}

type deliveryView struct {
	*works.Delivery
	To    string
	Chore *works.Chore // that sends it; nil when it is over
}

const deliveriesOnPage = 50

var deliveryStates = []works.DeliveryState{
	works.DeliveryWaiting, works.DeliveryDone, works.DeliveryRefused, works.DeliveryDead, works.DeliveryCancelled,
}

func (b *board) showDeliveries(w http.ResponseWriter, r *http.Request) error {
	q := r.URL.Query()
	at, err := pageOf(q)
	if err != nil {
		return err
	}
	body := deliveriesPage{Show: q.Get("show")}
	f := works.DeliveryFilter{Limit: deliveriesOnPage, Offset: at * deliveriesOnPage}
	known := body.Show == ""
	body.Choices = []option{{"", "All", body.Show == ""}}
	for _, s := range deliveryStates {
		chosen := string(s) == body.Show
		body.Choices = append(body.Choices, option{string(s), "Only " + stateWord(s), chosen})
		if chosen {
			f.States, known = []works.DeliveryState{s}, true
		}
	}
	if !known {
		return wrong("There is no state %q of deliveries; choose one from the list.", body.Show)
	}
	total := 0
	err = b.Store.Read(r.Context(), func(tx *works.Tx) (err error) {
		total, err = b.readDeliveries(tx, f, &body)
		return err
	})
	if err != nil {
		return err
	}
	body.Pager = newPager(r.URL, at, total, deliveriesOnPage)
	return b.show(w, r, http.StatusOK, "deliveries", "Deliveries", body)
}

func (b *board) readDeliveries(tx *works.Tx, f works.DeliveryFilter, body *deliveriesPage) (total int, err error) {
	counts, err := tx.Counts()
	if err != nil {
		return 0, err
	}
	for state, n := range counts.Deliveries {
		if len(f.States) == 0 || f.States[0] == state {
			total += n
		}
	}
	if body.Deliveries, err = b.deliveries(tx, f); err != nil {
		return 0, err
	}
	given := works.DeliveryFilter{States: []works.DeliveryState{works.DeliveryDead}}
	if body.Dead, err = b.deliveries(tx, given); err != nil {
		return 0, err
	}
	dead, err := tx.Chores(works.ChoreFilter{States: []works.ChoreState{works.ChoreDead}})
	if err != nil {
		return 0, err
	}
	body.Chores = nil
	for _, c := range dead {
		if c.Kind != works.ChoreDeliver {
			body.Chores = append(body.Chores, c)
		}
	}
	return total, nil
}

func (b *board) deliveries(tx *works.Tx, f works.DeliveryFilter) ([]deliveryView, error) {
	list, err := tx.Deliveries(f)
	if err != nil {
		return nil, err
	}
	var views []deliveryView
	for _, d := range list {
		v := deliveryView{Delivery: d, To: d.Partner}
		if d.Device != "" {
			v.To = b.deviceName(d.Device)
		}
		if d.State == works.DeliveryDead || d.State == works.DeliveryWaiting {
			if v.Chore, err = tx.ChoreOf(d.ID); err != nil {
				return nil, err
			}
		}
		views = append(views, v)
	}
	return views, nil
}

func (b *board) retryDelivery(w http.ResponseWriter, r *http.Request) error {
	return b.onDelivery(w, r, "retry")
}

func (b *board) discardDelivery(w http.ResponseWriter, r *http.Request) error {
	return b.onDelivery(w, r, "discard")
}

// onDelivery does something to the chore that sends a delivery.
func (b *board) onDelivery(w http.ResponseWriter, r *http.Request, what string) error {
	id, err := number(r, "id")
	if err != nil {
		return err
	}
	return b.onChore(w, r, "delivery."+what, id, func(tx *works.Tx) (int64, error) {
		c, err := tx.ChoreOf(id)
		if err != nil {
			return 0, err
		}
		if c == nil {
			return 0, &works.StateError{What: "delivery", ID: id, Was: "over", To: what, Why: "it waits for nothing"}
		}
		return c.ID, nil
	}, what)
}

func (b *board) actChore(w http.ResponseWriter, r *http.Request) error {
	id, err := number(r, "id")
	if err != nil {
		return err
	}
	what := r.PathValue("action")
	if what != "retry" && what != "discard" {
		return b.unknownPage(w, r)
	}
	return b.onChore(w, r, "chore."+what, id, func(*works.Tx) (int64, error) { return id, nil }, what)
}

// onChore tries a chore again, or gives it up for the reason in the form.
func (b *board) onChore(
	w http.ResponseWriter, r *http.Request, logged string, id int64, find func(*works.Tx) (int64, error), what string,
) error {
	r.Body = http.MaxBytesReader(w, r.Body, mostToken)
	reason := r.PostFormValue("reason")
	if what == "discard" && reason == "" {
		return wrong("Say why it is given up; go back and fill in the reason.")
	}
	err := b.Store.Write(r.Context(), access.Of(r.Context()).Name, func(tx *works.Tx) error {
		chore, err := find(tx)
		if err != nil {
			return err
		}
		if what == "retry" {
			err = tx.Retry(chore)
		} else {
			err = tx.Discard(chore, reason)
		}
		if err != nil {
			return err
		}
		return tx.Log(logged, strconv.FormatInt(id, 10), reason)
	})
	if err != nil {
		return err
	}
	return done(w, r, back(r), what)
}

// back is the page of a ticket when the form says that it stands there, else that
// of the deliveries.
func back(r *http.Request) string {
	if id, err := strconv.ParseInt(r.PostFormValue("ticket"), 10, 64); err == nil && id > 0 {
		return fmt.Sprintf("/tickets/%d", id)
	}
	return "/deliveries"
}
