package board

import (
	"context"
	"embed"
	"io"
	"log/slog"
	"net/http"
	"time"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/ledger"
	"quoin/cmd/quoin/internal/works"
	"quoin/convert/cost/account"
	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/plant"
)

// Desk looks into what a person wants to hand in.
type Desk interface {
	// Report checks a ticket, a message or a package of them, under a name.
	Report(ctx context.Context, name, media string, body []byte) (*validate.Report, error)

	// Describe says what a ticket is about.
	Describe(doc *jdf.Document) works.Submission
}

// Form is a form in which a statement can be taken away.
type Form struct {
	Name  string // and ending of the file, such as csv
	Media string
	Write func(io.Writer, *account.Statement) error
}

// Parts are what a board shows and acts on.
type Parts struct {
	Store  *works.Store
	Ledger *ledger.Ledger // nil leaves out phases and reports
	Plant  *plant.Plant
	Desk   Desk
	Guard  *access.Guard

	Partners func() []*access.Partner // of the page about the service; nil leaves them out
	Forms    []Form                   // of reports
	Upload   int64                    // the most bytes of an uploaded file; default 64 MiB

	Clock   func() time.Time // default time.Now
	Log     *slog.Logger     // default slog.Default()
	Version string           // of the program
	Place   string           // where the store is, in words and without secrets

	// Ending is closed when the service is about to end, so that those who follow
	// the events are let go. Nil is never.
	Ending <-chan struct{}
}

//go:embed templates static
var files embed.FS

// board answers requests for pages.
type board struct {
	Parts
	words  *words
	pages  map[string]*page
	static map[string]asset
	mark   string // of the static files, so that browsers keep them until they change
}

// The roles that pages and actions ask for.
var (
	lookers = []access.Role{access.Reader, access.Operator}
	actors  = []access.Role{access.Operator}
)

// New makes the board. It is to be mounted at /, with the jobs as the first page, and
// stands behind Parts.Guard by itself. The error is one of the embedded files.
func New(parts Parts) (http.Handler, error) {
	if parts.Clock == nil {
		parts.Clock = time.Now
	}
	if parts.Log == nil {
		parts.Log = slog.Default()
	}
	if parts.Upload == 0 {
		parts.Upload = 64 << 20
	}
	zone := parts.Plant.Zone
	if zone == nil {
		zone = time.UTC
	}
	b := &board{Parts: parts, words: &words{zone: zone, now: parts.Clock}}
	var err error
	if b.static, b.mark, err = loadStatic(); err != nil {
		return nil, err
	}
	if b.pages, err = b.loadPages(); err != nil {
		return nil, err
	}
	return b.routes(), nil
}

func (b *board) routes() http.Handler {
	mux := http.NewServeMux()
	look := func(pattern string, h handler) { mux.Handle(pattern, b.behind(h, lookers...)) }
	act := func(pattern string, h handler) { mux.Handle(pattern, b.behind(h, actors...)) }

	look("GET /{$}", b.showJobs)
	look("GET /devices", b.showDevices)
	look("GET /schedule", b.showSchedule)
	look("GET /tickets/{id}", b.showTicket)
	look("GET /tickets/{id}/source", b.sendSource)
	look("GET /tickets/{id}/sheets/{sheet}", b.sendSheet)
	look("GET /tickets/{id}/steps/{step}", b.sendStep)
	act("GET /tickets/{id}/{action}", b.askAction)
	act("POST /tickets/{id}/{action}", b.doAction)

	act("GET /upload", b.showUpload)
	act("POST /upload", b.checkUpload)
	act("POST /upload/accept", b.acceptUpload)

	look("GET /reports", b.showReports)
	look("GET /alerts", b.showAlerts)
	act("POST /alerts/{id}/acknowledge", b.acknowledge)
	look("GET /deliveries", b.showDeliveries)
	act("POST /deliveries/{id}/retry", b.retryDelivery)
	act("POST /deliveries/{id}/discard", b.discardDelivery)
	act("POST /chores/{id}/{action}", b.actChore)
	look("GET /messages", b.showMessages)
	look("GET /messages/{id}", b.showMessage)
	look("GET /messages/{id}/{which}", b.sendMessage)
	look("GET /about", b.showAbout)
	look("GET /events", b.followEvents)

	mux.HandleFunc("GET /static/{mark}/{file}", b.sendStatic)
	mux.HandleFunc("GET /login", b.showLogIn)
	mux.HandleFunc("POST /login", b.logIn)
	mux.HandleFunc("POST /logout", b.logOut)
	mux.Handle("/", b.behind(b.unknownPage, lookers...))
	return strict(mux)
}

// strict is the policy of the board's own pages: they have no style and no script
// but those in files of the service.
func strict(next http.Handler) http.Handler {
	return access.Headers(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Security-Policy",
			"default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "+
				"form-action 'self'; base-uri 'none'; frame-ancestors 'none'")
		next.ServeHTTP(w, r)
	}))
}
