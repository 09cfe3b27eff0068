package board

import (
	"bytes"
	"errors"
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/works"
)

// page is one template with the layout around it.
type page struct{ *template.Template }

// pageNames are the templates that are pages of their own.
var pageNames = []string{
	"jobs", "devices", "schedule", "ticket", "action", "upload", "checked", "reports", "alerts", "deliveries",
	"messages", "message", "about", "login", "trouble",
}

func (b *board) loadPages() (map[string]*page, error) {
	common, err := template.New("").Funcs(b.words.funcs()).ParseFS(files, "templates/common/*.html")
	if err != nil {
		return nil, fmt.Errorf("read the templates of the board: %w", err)
	}
	pages := map[string]*page{}
	for _, name := range pageNames {
		t, err := common.Clone()
		if err == nil {
			t, err = t.ParseFS(files, "templates/"+name+".html")
		}
		if err != nil {
			return nil, fmt.Errorf("read the template %q of the board: %w", name, err)
		}
		pages[name] = &page{t}
	}
	return pages, nil
}

// view is what a page is made of: what stands on every page, and its own Body.
type view struct {
	Title   string
	Plant   string
	Zone    string
	Now     string
	Nav     []link
	Who     string // "" for nobody
	Local   bool   // nobody logs in here
	Acts    bool   // may decide
	Seq     int64  // of the last event that the page knows of
	Mark    string
	Version string
	Said    string // what has just been done
	Query   url.Values
	Body    any
}

type link struct {
	Href, Name string
	Here       bool
	Count      int // that ask for a person; 0 shows none
	What       string
}

// show writes a page. It is made whole before anything is sent, so that a mistake
// is told as one.
func (b *board) show(w http.ResponseWriter, r *http.Request, status int, name, title string, body any) error {
	v := view{
		Title: title, Plant: b.Plant.Name, Zone: b.words.zoneName(), Now: b.words.clock(b.Clock()),
		Mark: b.mark, Version: b.Version, Said: saidBy(r), Query: r.URL.Query(), Body: body,
	}
	if p := access.Of(r.Context()); p != nil {
		v.Who, v.Local, v.Acts = p.Name, p == access.Local, p.May(actors...)
		counts, err := works.Ask(r.Context(), b.Store, (*works.Tx).Counts)
		if err != nil {
			return err
		}
		v.Seq = counts.Events
		v.Nav = navigation(r.URL.Path, counts, v.Acts)
	}
	var text bytes.Buffer
	if err := b.pages[name].ExecuteTemplate(&text, "layout", v); err != nil {
		return fmt.Errorf("make the page %q: %w", name, err)
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, _ = w.Write(text.Bytes()) // who has gone away needs no page
	return nil
}

func navigation(path string, c *works.Counts, acts bool) []link {
	dead := c.Deliveries[works.DeliveryDead]
	for kind, states := range c.Chores {
		if kind != works.ChoreDeliver { // its delivery is counted already
			dead += states[works.ChoreDead]
		}
	}
	all := []link{
		{Href: "/", Name: "Jobs"},
		{Href: "/devices", Name: "Devices"},
		{Href: "/schedule", Name: "Schedule"},
		{Href: "/upload", Name: "Hand in"},
		{Href: "/reports", Name: "Reports"},
		{Href: "/alerts", Name: "Alerts", Count: c.Alerts[works.AlertOpen], What: "open"},
		{Href: "/deliveries", Name: "Deliveries", Count: dead, What: "given up"},
		{Href: "/messages", Name: "Messages"},
		{Href: "/about", Name: "About"},
	}
	var shown []link
	for _, l := range all {
		if l.Href == "/upload" && !acts {
			continue
		}
		switch {
		case l.Href == "/":
			l.Here = path == "/" || strings.HasPrefix(path, "/tickets/")
		default:
			l.Here = strings.HasPrefix(path, l.Href)
		}
		shown = append(shown, l)
	}
	return shown
}

// handler answers a request; what it returns becomes a page that says it.
type handler func(w http.ResponseWriter, r *http.Request) error

// mistake is an error of who asks, with its status.
type mistake struct {
	status int
	text   string
}

func (m *mistake) Error() string { return m.text }

func wrong(format string, args ...any) error {
	return &mistake{http.StatusBadRequest, fmt.Sprintf(format, args...)}
}

// answer runs a handler and writes its error as a page.
func (b *board) answer(h handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		err := h(w, r)
		if err == nil || r.Context().Err() != nil {
			return
		}
		status, text := b.tell(r, err)
		if err := b.show(w, r, status, "trouble", http.StatusText(status), text); err != nil {
			b.Log.Error("show the page of an error", "path", r.URL.Path, "error", err)
			http.Error(w, "the board could not make this page; the log of the service says why", http.StatusInternalServerError)
		}
	})
}

// tell turns an error into a status and words. Those of the service itself go to
// the log, and not to the page.
func (b *board) tell(r *http.Request, err error) (int, string) {
	var m *mistake
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &m):
		return m.status, m.text
	case errors.As(err, &large):
		return http.StatusRequestEntityTooLarge,
			fmt.Sprintf("The file is larger than %d MiB, the most that is taken here.", large.Limit>>20)
	case errors.Is(err, works.ErrUnknown):
		return http.StatusNotFound, "There is no such thing in the store: " + err.Error() + "."
	case errors.Is(err, works.ErrState):
		return http.StatusConflict,
			"Nothing was changed: " + err.Error() + ". Somebody else may have been faster; look again."
	}
	b.Log.Error("answer a request of the board", "method", r.Method, "path", r.URL.Path, "error", err)
	return http.StatusInternalServerError, "The service could not do this. Its log says why; try again in a moment."
}

func (b *board) unknownPage(_ http.ResponseWriter, r *http.Request) error {
	return &mistake{http.StatusNotFound, fmt.Sprintf("There is no page %q here.", r.URL.Path)}
}

// done goes back to a page after something was done, so that loading that page
// again does not do it again.
func done(w http.ResponseWriter, r *http.Request, to, said string) error {
	at, err := url.Parse(to)
	if err != nil {
		return err
	}
	q := at.Query()
	q.Set("said", said)
	at.RawQuery = q.Encode()
	http.Redirect(w, r, at.String(), http.StatusSeeOther)
	return nil
}

// sayings are what a page may say that something was done; other words in the
// address of a page are not shown, so that no link can put words into its mouth.
var sayings = map[string]string{
	"accepted": "Handed in: the ticket is in the store and is being checked.",
	"check":    "It is being checked again.", "plan": "It is being planned.", "release": "Released to the devices.",
	"hold": "Held.", "resume": "It goes on.", "abort": "Aborted.", "remove": "Taken out of the queue.",
	"priority": "The priority is changed.", "retry": "It is tried again.", "discard": "Given up.",
	"acknowledge": "Acknowledged in your name.",
}

func saidBy(r *http.Request) string { return sayings[r.URL.Query().Get("said")] }

// number is a number in the path of a request.
func number(r *http.Request, name string) (int64, error) {
	n, err := strconv.ParseInt(r.PathValue(name), 10, 64)
	if err != nil || n < 1 {
		return 0, &mistake{http.StatusNotFound, fmt.Sprintf("%q is no number of anything here.", r.PathValue(name))}
	}
	return n, nil
}
