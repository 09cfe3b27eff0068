package access

import (
	"context"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/hex"
	"net"
	"net/http"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"golang.org/x/time/rate"
)

// Guard stands before the service: it says who asks, and lets nobody ask too
// often. It is safe for concurrent use.
type Guard struct {
	current atomic.Pointer[Settings]
	open    bool
	clock   func() time.Time
	origin  *http.CrossOriginProtection

	mu     sync.Mutex
	limits map[string]*limit
}

type limit struct {
	*rate.Limiter
	rate Rate
	used time.Time
}

// NewGuard makes a guard. Nil settings know nobody. With open, who proves
// nothing is taken for Local: only for a service that listens to its own
// machine alone. A nil clock is time.Now.
func NewGuard(s *Settings, open bool, clock func() time.Time) *Guard {
	if clock == nil {
		clock = time.Now
	}
	g := &Guard{open: open, clock: clock, limits: map[string]*limit{}, origin: http.NewCrossOriginProtection()}
	g.Set(s)
	return g
}

// Local is who asks from the machine itself, where no partners are set up.
var Local = &Partner{Name: "local", Roles: []Role{Admin}, Rate: Rate{Second: 1000, Burst: 4000}}

// Set puts new settings in force, such as those of a file that was changed.
func (g *Guard) Set(s *Settings) {
	if s == nil {
		s = &Settings{}
	}
	g.current.Store(s)
}

func (g *Guard) settings() *Settings { return g.current.Load() }
func (g *Guard) now() time.Time      { return g.clock() }

// Hosts are those that anything may be sent to.
func (g *Guard) Hosts() []Host { return g.settings().Hosts }

// Partner is the partner of a name, or nil.
func (g *Guard) Partner(name string) *Partner {
	for _, p := range g.settings().Partners {
		if p.Name == name {
			return p
		}
	}
	return nil
}

func (s *Settings) ofToken(token string) *Partner {
	sum := sha256.Sum256([]byte(token))
	var found *Partner
	for _, p := range s.Partners { // all of them, so that time tells nothing
		if subtle.ConstantTimeCompare(sum[:], p.secret[:]) == 1 && p.hasToken {
			found = p
		}
	}
	return found
}

// identify gives who asks, and whether a browser's cookie proves it; nil for
// nobody known.
func (g *Guard) identify(r *http.Request) (p *Partner, cookie bool) {
	s := g.settings()
	if r.TLS != nil && len(r.TLS.PeerCertificates) > 0 && len(r.TLS.VerifiedChains) > 0 {
		sum := sha256.Sum256(r.TLS.PeerCertificates[0].Raw)
		for _, p := range s.Partners {
			if p.certificate != "" && p.certificate == hex.EncodeToString(sum[:]) {
				return p, false
			}
		}
	}
	if header := r.Header.Get("Authorization"); header != "" {
		token, ok := strings.CutPrefix(header, "Bearer ")
		if !ok {
			_, token, ok = r.BasicAuth() // what many senders of messages can do at most
		}
		if ok {
			return s.ofToken(token), false
		}
		return nil, false
	}
	if c, err := r.Cookie(cookieName); err == nil {
		if p := s.ofSession(c.Value, g.now()); p != nil {
			return p, true
		}
	}
	if g.open && len(s.Partners) == 0 {
		return Local, true // a browser may be led here by any page it has open
	}
	return nil, false
}

type key struct{}

// Of is the partner that asks, or nil where a request has not passed a guard.
func Of(ctx context.Context) *Partner {
	p, _ := ctx.Value(key{}).(*Partner)
	return p
}

// With is a context in which a partner asks.
func With(ctx context.Context, p *Partner) context.Context { return context.WithValue(ctx, key{}, p) }

// Allow lets requests pass of partners that have one of the roles, and of those
// as many as their rate allows. Others are answered with 401, 403 or 429. What
// a browser sends with its cookie must come from a page of the service itself.
func (g *Guard) Allow(next http.Handler, roles ...Role) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		p, cookie := g.identify(r)
		if p == nil {
			// Guesses share a small allowance by address.
			if !g.take("address "+address(r), Rate{Second: 1, Burst: 10}) {
				tooMany(w)
				return
			}
			w.Header().Set("WWW-Authenticate", `Bearer realm="quoin"`)
			http.Error(w, "not known: send the token of a partner as Authorization: Bearer, or log in", http.StatusUnauthorized)
			return
		}
		if !g.take("partner "+p.Name, p.Rate) {
			tooMany(w)
			return
		}
		if !p.May(roles...) {
			http.Error(w, "partner "+p.Name+" has no role for this", http.StatusForbidden)
			return
		}
		if cookie {
			if err := g.origin.Check(r); err != nil {
				http.Error(w, "the request comes from a page of another site; open the board itself", http.StatusForbidden)
				return
			}
		}
		next.ServeHTTP(w, r.WithContext(With(r.Context(), p)))
	})
}

// Known is the partner of a request, for pages that look different without one.
func (g *Guard) Known(r *http.Request) *Partner {
	p, _ := g.identify(r)
	return p
}

// Attempt reports whether an address may try to log in once more.
func (g *Guard) Attempt(r *http.Request) bool {
	return g.take("log in "+address(r), Rate{Second: 0.2, Burst: 5})
}

func tooMany(w http.ResponseWriter) {
	w.Header().Set("Retry-After", "2")
	http.Error(w, "too many requests; wait, or have the rate of the partner raised", http.StatusTooManyRequests)
}

func address(r *http.Request) string {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		return r.RemoteAddr
	}
	return host
}

// most is how many allowances are remembered before those that are full again
// are forgotten.
const most = 10_000

func (g *Guard) take(who string, r Rate) bool {
	now := g.now()
	g.mu.Lock()
	defer g.mu.Unlock()
	l := g.limits[who]
	if l == nil || l.rate != r {
		if len(g.limits) >= most {
			g.forget(now)
		}
		l = &limit{Limiter: rate.NewLimiter(rate.Limit(r.Second), r.Burst), rate: r}
		g.limits[who] = l
	}
	l.used = now
	return l.AllowN(now, 1)
}

// forget drops allowances that are as good as new, or else the oldest half.
func (g *Guard) forget(now time.Time) {
	for pass := time.Hour; len(g.limits) >= most; pass /= 4 {
		for who, l := range g.limits {
			if now.Sub(l.used) >= pass {
				delete(g.limits, who)
			}
		}
		if pass < time.Second {
			clear(g.limits)
		}
	}
}
