package access

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base64"
	"net/http"
	"strconv"
	"strings"
	"time"
)

// cookieName is that of the session of a browser.
const cookieName = "quoin-session"

// sessionLength is how long a person stays known to the board.
const sessionLength = 12 * time.Hour

// A session is the name of a partner and a moment, signed with what proves the
// partner: any instance can check it, and a changed token ends it.
func (p *Partner) session(until time.Time) string {
	text := p.Name + " " + strconv.FormatInt(until.Unix(), 10)
	return base64.RawURLEncoding.EncodeToString([]byte(text)) + "." + p.sign("session", text)
}

func (p *Partner) sign(use, text string) string {
	mac := hmac.New(sha256.New, p.secret[:])
	mac.Write([]byte(use + "\x00" + text))
	return base64.RawURLEncoding.EncodeToString(mac.Sum(nil))
}

// ofSession is the partner of a session that is good at a moment, or nil.
func (s *Settings) ofSession(value string, now time.Time) *Partner {
	head, signature, _ := strings.Cut(value, ".")
	raw, err := base64.RawURLEncoding.DecodeString(head)
	if err != nil {
		return nil
	}
	name, end, _ := strings.Cut(string(raw), " ")
	until, err := strconv.ParseInt(end, 10, 64)
	if err != nil || now.Unix() >= until {
		return nil
	}
	for _, p := range s.Partners {
		if p.Name == name && p.hasToken && hmac.Equal([]byte(signature), []byte(p.sign("session", string(raw)))) {
			return p
		}
	}
	return nil
}

// LogIn sets the session of a browser for who has the token, and gives the
// partner, or nil when nobody has it.
func (g *Guard) LogIn(w http.ResponseWriter, r *http.Request, token string) *Partner {
	p := g.settings().ofToken(token)
	if p == nil {
		return nil
	}
	http.SetCookie(w, &http.Cookie{
		Name: cookieName, Value: p.session(g.now().Add(sessionLength)), Path: "/",
		MaxAge: int(sessionLength / time.Second), HttpOnly: true, Secure: r.TLS != nil, SameSite: http.SameSiteStrictMode,
	})
	return p
}

// LogOut ends the session of a browser.
func (g *Guard) LogOut(w http.ResponseWriter) {
	http.SetCookie(w, &http.Cookie{Name: cookieName, Path: "/", MaxAge: -1, HttpOnly: true, SameSite: http.SameSiteStrictMode})
}
