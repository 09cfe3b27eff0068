package board

import (
	"cmp"
	"net/http"
	"slices"
	"time"

	"quoin/cmd/quoin/internal/works"
)

type devicesPage struct{ Devices []deviceCard }

type deviceCard struct {
	*works.Device
	Word    string
	Ticket  *works.Ticket // of the job that it is at, nil for none
	Silent  string        // words when it has not been heard for long, "" otherwise
	Caution string
	Next    []deviceStep
	More    int // steps beyond those in Next
}

type deviceStep struct {
	*works.Step
	Ticket *works.Ticket
}

const (
	nextShown = 4
	silence   = 30 * time.Minute // without a word a device that works is told as silent
)

// cautions are said where somebody may be led to reach into a machine. They name no
// limits: those belong to the maker's manual, to local law and to the site.
var cautions = map[string]string{
	"makeready": "Before reaching in: stop it and secure it against starting, as the maker's manual says.",
	"wash-up":   "Washing up: gloves, air and a stopped machine, as the manual and the wash's data sheet say.",
	"stopped":   "Stopped is not safe: it may start again. Secure it before reaching in, as the maker's manual says.",
}

func (b *board) showDevices(w http.ResponseWriter, r *http.Request) error {
	var body devicesPage
	err := b.Store.Read(r.Context(), func(tx *works.Tx) error {
		devices, err := tx.Devices()
		if err != nil {
			return err
		}
		body.Devices = nil
		tickets := map[int64]*works.Ticket{}
		for _, d := range devices {
			card, err := b.card(tx, d, tickets)
			if err != nil {
				return err
			}
			body.Devices = append(body.Devices, card)
		}
		return nil
	})
	if err != nil {
		return err
	}
	b.order(body.Devices)
	return b.show(w, r, http.StatusOK, "devices", "Devices now", body)
}

// order puts the devices that have said anything first, and then in the order of the
// plant file.
func (b *board) order(cards []deviceCard) {
	place := map[string]int{}
	for i, m := range b.Plant.Machines() {
		place[m.ID] = i
	}
	slices.SortStableFunc(cards, func(a, c deviceCard) int {
		if quiet := a.Heard.IsZero(); quiet != c.Heard.IsZero() {
			if quiet {
				return 1
			}
			return -1
		}
		return cmp.Compare(place[a.ID], place[c.ID])
	})
}

// byPlan sorts steps by when they are planned, those without a time last.
func byPlan(a, b *works.Step) int {
	switch {
	case a.Start.IsZero() && !b.Start.IsZero():
		return 1
	case b.Start.IsZero() && !a.Start.IsZero():
		return -1
	}
	return a.Start.Compare(b.Start)
}

func (b *board) card(tx *works.Tx, d *works.Device, tickets map[int64]*works.Ticket) (deviceCard, error) {
	card := deviceCard{Device: d, Word: d.State, Caution: cautions[d.State]}
	if card.Word == "" {
		card.Word = "unknown"
	}
	busy := d.State == "run" || d.State == "makeready" || d.State == "wash-up"
	if gone := b.Clock().Sub(d.Heard); busy && gone > silence {
		card.Silent = "It has not said anything for " + spanned(gone) + "; what stands here may be out of date."
	}
	steps, err := tx.DeviceSteps(d.ID)
	if err != nil {
		return card, err
	}
	slices.SortStableFunc(steps, byPlan)
	for _, s := range steps {
		k := tickets[s.Ticket]
		if k == nil {
			if k, err = tx.Ticket(s.Ticket); err != nil {
				return card, err
			}
			tickets[s.Ticket] = k
		}
		switch {
		case s.State.Begun():
			card.Ticket = k
		case len(card.Next) < nextShown:
			card.Next = append(card.Next, deviceStep{s, k})
		default:
			card.More++
		}
	}
	return card, nil
}
