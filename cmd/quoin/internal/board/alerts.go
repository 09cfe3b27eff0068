package board

import (
	"net/http"
	"strconv"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/works"
)

type alertsPage struct {
	Open, Seen, Closed []alertView
}

type alertView struct {
	*works.Alert
	Job        string
	DeviceName string
}

const closedShown = 30

func (b *board) showAlerts(w http.ResponseWriter, r *http.Request) error {
	var body alertsPage
	err := b.Store.Read(r.Context(), func(tx *works.Tx) (err error) {
		if body.Open, err = b.alerts(tx, works.AlertOpen, 200); err != nil {
			return err
		}
		if body.Seen, err = b.alerts(tx, works.AlertAcknowledged, 200); err != nil {
			return err
		}
		body.Closed, err = b.alerts(tx, works.AlertClosed, closedShown)
		return err
	})
	if err != nil {
		return err
	}
	return b.show(w, r, http.StatusOK, "alerts", "Alerts", body)
}

func (b *board) alerts(tx *works.Tx, state works.AlertState, most int) ([]alertView, error) {
	list, err := tx.Alerts(works.AlertFilter{States: []works.AlertState{state}, Limit: most})
	if err != nil {
		return nil, err
	}
	var views []alertView
	for _, a := range list {
		v := alertView{Alert: a}
		if a.Device != "" {
			v.DeviceName = b.deviceName(a.Device)
		}
		if a.Ticket != 0 {
			if k, err := tx.Ticket(a.Ticket); err == nil { // it may be kept no longer
				v.Job = k.Job
			}
		}
		views = append(views, v)
	}
	return views, nil
}

// acknowledge puts the name of who asks to an alert.
func (b *board) acknowledge(w http.ResponseWriter, r *http.Request) error {
	id, err := number(r, "id")
	if err != nil {
		return err
	}
	err = b.Store.Write(r.Context(), access.Of(r.Context()).Name, func(tx *works.Tx) error {
		a, err := tx.AcknowledgeAlert(id)
		if err != nil {
			return err
		}
		return tx.Log("alert.acknowledge", strconv.FormatInt(id, 10), a.Text)
	})
	if err != nil {
		return err
	}
	return done(w, r, "/alerts", "acknowledge")
}
