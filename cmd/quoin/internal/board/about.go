package board

import (
	"net/http"
	"runtime"
	"slices"
	"strings"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/database"
	"quoin/cmd/quoin/internal/works"
	"quoin/validate/plant"
)

type aboutPage struct {
	Program  []fact
	Store    []fact
	Partners []partnerView
	Known    bool // the partners are
	Hosts    []string
	Machines []*plant.Machine
	Log      []works.Record
}

type fact struct{ Name, Value string }

type partnerView struct {
	Name  string
	Roles string
	You   bool
}

// logShown is how much of the log of who did what the page shows.
const logShown = 30

// showAbout tells what runs here: no secret, no token and no address of a database
// with either is among it.
func (b *board) showAbout(w http.ResponseWriter, r *http.Request) error {
	var counts *works.Counts
	body := aboutPage{Machines: b.Plant.Machines()}
	err := b.Store.Read(r.Context(), func(tx *works.Tx) (err error) {
		if counts, err = tx.Counts(); err != nil {
			return err
		}
		body.Log, err = tx.Records(works.RecordFilter{Limit: logShown})
		return err
	})
	if err != nil {
		return err
	}
	kind := "SQLite, embedded"
	if b.Parts.Store.DB().Dialect() == database.Postgres {
		kind = "PostgreSQL"
	}
	body.Program = []fact{
		{"Version", nameOr(b.Version, "not stated")}, {"Built with", runtime.Version()},
		{"Plant", b.Plant.Name}, {"Time zone", b.words.zoneName()}, {"Currency", b.Plant.Currency},
	}
	body.Store = []fact{
		{"Kind", kind}, {"Place", nameOr(b.Place, "not stated")}, {"This instance", b.Parts.Store.Instance()},
		{"Messages", amount(counts.Messages)}, {"Events", amount(counts.Events)},
	}
	if !counts.Oldest.IsZero() {
		body.Store = append(body.Store, fact{"Work that waits longest", "due " + b.words.when(counts.Oldest)})
	}
	if b.Partners != nil {
		body.Known = true
		you := access.Of(r.Context())
		for _, p := range b.Partners() {
			body.Partners = append(body.Partners, partnerView{p.Name, roleNames(p.Roles), you != nil && p.Name == you.Name})
		}
		slices.SortFunc(body.Partners, func(a, b partnerView) int { return strings.Compare(a.Name, b.Name) })
	}
	for _, h := range b.Guard.Hosts() {
		name := h.Name
		if name == "" {
			name = h.Network.String()
		}
		body.Hosts = append(body.Hosts, name)
	}
	return b.show(w, r, http.StatusOK, "about", "About this service", body)
}
