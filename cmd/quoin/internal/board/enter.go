package board

import (
	"net/http"
	"net/url"
	"strings"

	"quoin/cmd/quoin/internal/access"
)

// behind puts the guard before a handler. Browsers that nobody is known by are led
// to the page to log in; who lacks the role is told so on a page.
func (b *board) behind(h handler, roles ...access.Role) http.Handler {
	guarded := b.Guard.Allow(b.answer(h), roles...)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		p := b.Guard.Known(r)
		switch {
		case p == nil && r.Method == http.MethodGet && r.Header.Get("Authorization") == "" && r.URL.Path != "/events":
			http.Redirect(w, r, "/login?"+url.Values{"to": {r.URL.RequestURI()}}.Encode(), http.StatusSeeOther)
		case p != nil && r.Method == http.MethodGet && !p.May(roles...):
			b.answer(func(http.ResponseWriter, *http.Request) error {
				return &mistake{http.StatusForbidden, "You are known as " + p.Name + ", who has no role for this page. " +
					"It needs one of: " + roleNames(roles) + "."}
			}).ServeHTTP(w, r)
		default:
			guarded.ServeHTTP(w, r)
		}
	})
}

func roleNames(roles []access.Role) string {
	var names []string
	for _, role := range roles {
		names = append(names, string(role))
	}
	return strings.Join(names, ", ")
}

type entering struct {
	To    string
	Wrong string
}

func (b *board) showLogIn(w http.ResponseWriter, r *http.Request) {
	b.answer(func(w http.ResponseWriter, r *http.Request) error {
		return b.show(w, r, http.StatusOK, "login", "Log in", entering{To: within(r.URL.Query().Get("to"))})
	}).ServeHTTP(w, r)
}

// mostToken is more than the length of any token that is sensible.
const mostToken = 64 << 10

func (b *board) logIn(w http.ResponseWriter, r *http.Request) {
	b.answer(func(w http.ResponseWriter, r *http.Request) error {
		if err := http.NewCrossOriginProtection().Check(r); err != nil {
			return &mistake{http.StatusForbidden, "This came from a page of another site. Open the board itself to log in."}
		}
		if !b.Guard.Attempt(r) {
			w.Header().Set("Retry-After", "30")
			return &mistake{http.StatusTooManyRequests, "Too many attempts from here. Wait half a minute, then try again."}
		}
		r.Body = http.MaxBytesReader(w, r.Body, mostToken)
		to := within(r.PostFormValue("to"))
		if p := b.Guard.LogIn(w, r, strings.TrimSpace(r.PostFormValue("token"))); p != nil {
			http.Redirect(w, r, to, http.StatusSeeOther)
			return nil
		}
		return b.show(w, r, http.StatusUnauthorized, "login", "Log in", entering{
			To: to, Wrong: "Nobody has this token. Copy it whole, without quotes; who runs the service has it.",
		})
	}).ServeHTTP(w, r)
}

func (b *board) logOut(w http.ResponseWriter, r *http.Request) {
	if err := http.NewCrossOriginProtection().Check(r); err != nil {
		http.Error(w, "the request comes from a page of another site", http.StatusForbidden)
		return
	}
	b.Guard.LogOut(w)
	http.Redirect(w, r, "/login", http.StatusSeeOther)
}

// within is a place on the board itself, whatever was asked for: an address that
// leads elsewhere becomes the first page.
func within(to string) string {
	at, err := url.Parse(to)
	if err != nil || at.IsAbs() || at.Host != "" || at.User != nil || !strings.HasPrefix(to, "/") ||
		strings.HasPrefix(to, "//") || strings.ContainsAny(to, "\\\r\n\t") {
		return "/"
	}
	return to
}
