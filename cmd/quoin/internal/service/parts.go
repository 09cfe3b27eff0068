package service

import (
	"context"
	"log/slog"
	"net/http"
	"time"

	"github.com/prometheus/client_golang/prometheus"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/desk"
	"quoin/cmd/quoin/internal/ledger"
	"quoin/cmd/quoin/internal/works"
	"quoin/cmd/quoin/internal/works/flow"
	"quoin/validate/plant"
)

// Parts are what the service is made of, for those who add to it. All of them are
// safe for concurrent use.
type Parts struct {
	Store  *works.Store // Store.DB() is the database below
	Ledger *ledger.Ledger
	Plant  *plant.Plant
	Desk   *desk.Desk // checks, plans and writes device tickets
	Flow   *flow.Flow // CheckNow checks a submitted ticket at once
	Guard  *access.Guard

	// Hosts are those that anything may be sent to, at this moment: of the file of
	// partners, and those given at the start. Send with access.Client.
	Hosts func() []access.Host

	Clock    func() time.Time
	Log      *slog.Logger
	Registry *prometheus.Registry // of /metrics
	Public   string               // the URL at which others reach the service, without a slash at the end
	Version  string               // of the program

	// Ending is closed when the service stops listening, so that answers without an
	// end, such as streams of events, are let go.
	Ending <-chan struct{}
}

// Addition is what others add to the service. Each of its functions may be nil.
type Addition struct {
	Name string // for the log

	// Mount registers handlers, before the service listens. Each has to stand
	// behind Parts.Guard.Allow. Taken already are /jmf, /health, /ready and /metrics.
	// All handlers get security headers, a limit of the body, a time limit of
	// writing, and have panics answered with 500.
	Mount func(mux *http.ServeMux, p *Parts)

	// Handlers are for further kinds of chores.
	Handlers func(p *Parts) map[string]works.Handler

	// Run works in the background until its context ends. An error ends the service.
	Run func(ctx context.Context, p *Parts) error
}
