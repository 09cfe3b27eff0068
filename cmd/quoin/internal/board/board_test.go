package board_test

import (
	"bytes"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/works"
)

// logged is a browser of somebody who has logged in.
type logged struct {
	h      *house
	cookie *http.Cookie
}

func (h *house) logIn(token string) *logged {
	h.t.Helper()
	got := h.post("/login", url.Values{"token": {token}, "to": {"/devices"}})
	require.Equal(h.t, http.StatusSeeOther, got.Code, got.Body.String())
	require.Equal(h.t, "/devices", got.Header().Get("Location"))
	cookies := got.Result().Cookies()
	require.Len(h.t, cookies, 1)
	return &logged{h, cookies[0]}
}

func (l *logged) do(r *http.Request, site string) *httptest.ResponseRecorder {
	r.AddCookie(l.cookie)
	if site != "" {
		r.Header.Set("Sec-Fetch-Site", site)
	}
	w := httptest.NewRecorder()
	l.h.handler.ServeHTTP(w, r)
	return w
}

func (l *logged) get(path string) *httptest.ResponseRecorder {
	return l.do(httptest.NewRequest(http.MethodGet, path, nil), "")
}

func (l *logged) post(path string, values url.Values, site string) *httptest.ResponseRecorder {
	r := httptest.NewRequest(http.MethodPost, path, strings.NewReader(values.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return l.do(r, site)
}

const (
	anna = "anna-has-a-long-token-of-her-own"
	ben  = "ben-has-another-long-token-of-his"
	mis  = "the-mis-has-a-long-token-as-well"
)

func TestWhoMayDoWhat(t *testing.T) {
	h := open(t, false)
	k := h.seed()["SPW-1053"]

	got := h.get("/tickets/1?x=1")
	require.Equal(t, http.StatusSeeOther, got.Code, "nobody is led to the log-in")
	require.Equal(t, "/login?to=%2Ftickets%2F1%3Fx%3D1", got.Header().Get("Location"))
	require.Equal(t, http.StatusUnauthorized, h.post("/tickets/1/abort", nil).Code)
	require.Equal(t, http.StatusUnauthorized, h.get("/events").Code)

	reader := h.logIn(ben)
	require.Equal(t, http.StatusOK, reader.get("/").Code)
	require.NotContains(t, reader.get("/").Body.String(), "Hand in")
	require.NotContains(t, reader.get("/tickets/1").Body.String(), "Remove…")
	require.Equal(t, http.StatusForbidden, reader.get("/upload").Code)
	checkPage(t, reader.get("/upload").Body.String())
	abort := url.Values{"reason": {"wrong paper"}, "sure": {"yes"}}
	require.Equal(t, http.StatusForbidden, reader.post("/tickets/"+id(k)+"/abort", abort, "same-origin").Code)

	sender := h.logIn(mis)
	require.Equal(t, http.StatusForbidden, sender.get("/").Code)

	operator := h.logIn(anna)
	require.Equal(t, http.StatusForbidden, operator.post("/tickets/"+id(k)+"/abort", abort, "cross-site").Code,
		"another site")
	require.Equal(t, works.Planned, h.ticket(k).State)
	require.Equal(t, http.StatusSeeOther, operator.post("/tickets/"+id(k)+"/abort", abort, "same-origin").Code)
	require.Equal(t, works.Aborted, h.ticket(k).State)
	require.Equal(t, "wrong paper", h.ticket(k).Reason)
	log := ask(h, func(tx *works.Tx) ([]works.Record, error) { return tx.Records(works.RecordFilter{}) })
	require.Equal(t, "anna ticket.abort "+id(k)+" wrong paper", strings.Join([]string{log[0].Who, log[0].Action,
		log[0].Subject, log[0].Detail}, " "))

	about := operator.get("/about").Body.String()
	for _, secret := range []string{anna, ben, mis} {
		require.NotContains(t, about, secret)
	}
	require.Contains(t, about, "harbour-mis")
}

func TestLogIn(t *testing.T) {
	h := open(t, false)
	got := h.post("/login", url.Values{"token": {"guessed"}, "to": {"https://elsewhere.example/"}})
	require.Equal(t, http.StatusUnauthorized, got.Code)
	require.NotContains(t, got.Body.String(), "elsewhere")
	checkPage(t, got.Body.String())
	elsewhere := []string{"//elsewhere.example", `/\elsewhere.example`, "https://elsewhere.example", "javascript:alert(1)", "x"}
	for _, to := range elsewhere {
		require.Contains(t, h.get("/login?"+url.Values{"to": {to}}.Encode()).Body.String(), `name="to" value="/"`, to)
	}
	for range 10 {
		got = h.post("/login", url.Values{"token": {"guessed"}})
	}
	require.Equal(t, http.StatusTooManyRequests, got.Code, "guessing is slowed down")

	r := httptest.NewRequest(http.MethodPost, "/login", strings.NewReader("token="+anna))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Sec-Fetch-Site", "cross-site")
	w := httptest.NewRecorder()
	h.handler.ServeHTTP(w, r)
	require.Equal(t, http.StatusForbidden, w.Code)
	require.Empty(t, w.Result().Cookies())
}

func (h *house) ticket(k *works.Ticket) *works.Ticket {
	return ask(h, func(tx *works.Tx) (*works.Ticket, error) { return tx.Ticket(k.ID) })
}

// TestActions does what a person can do, and what the state then allows no more.
func TestActions(t *testing.T) {
	h := open(t, true)
	tickets := h.seed()
	why := url.Values{"reason": {"asked for by the customer"}}
	do := func(job, action string, values url.Values, want int) {
		t.Helper()
		got := h.post("/tickets/"+id(tickets[job])+"/"+action, values)
		require.Equal(t, want, got.Code, got.Body.String())
		if want != http.StatusSeeOther {
			checkPage(t, got.Body.String())
		}
	}
	do("SPW-1053", "hold", url.Values{"reason": {"  "}}, http.StatusUnprocessableEntity)
	do("SPW-1053", "abort", why, http.StatusUnprocessableEntity) // not sure
	do("SPW-1053", "hold", why, http.StatusSeeOther)
	require.Equal(t, works.EntryHeld, h.ticket(tickets["SPW-1053"]).Entry)
	do("SPW-1053", "hold", why, http.StatusConflict)
	do("SPW-1053", "release", why, http.StatusConflict) // held
	do("SPW-1053", "resume", why, http.StatusSeeOther)
	do("SPW-1053", "priority", url.Values{"reason": {"urgent"}, "priority": {"101"}}, http.StatusBadRequest)
	do("SPW-1053", "priority", url.Values{"reason": {"urgent"}, "priority": {"80"}}, http.StatusSeeOther)
	require.Equal(t, 80, h.ticket(tickets["SPW-1053"]).Priority)
	do("SPW-1053", "release", why, http.StatusSeeOther)
	require.Equal(t, works.Released, h.ticket(tickets["SPW-1053"]).State)
	do("SPW-1054", "plan", why, http.StatusSeeOther)
	require.NotEmpty(t, ask(h, func(tx *works.Tx) ([]*works.Chore, error) {
		return tx.Chores(works.ChoreFilter{Kinds: []string{works.ChorePlan}, Subject: id(tickets["SPW-1054"])})
	}), "planning is asked for")
	do("SPW-1043", "check", why, http.StatusSeeOther)
	require.Equal(t, works.Submitted, h.ticket(tickets["SPW-1043"]).State)
	do("SPW-1042", "hold", why, http.StatusSeeOther)
	require.Equal(t, works.EntrySuspended, h.ticket(tickets["SPW-1042"]).Entry)
	do("SPW-1042", "sing", why, http.StatusNotFound)

	steps := ask(h, func(tx *works.Tx) ([]*works.Step, error) { return tx.Steps(tickets["SPW-1042"].ID) })
	h.report(steps[0], works.StepFailed, "2026-03-09 10:30", 900, 500)
	require.Contains(t, h.get("/tickets/"+id(tickets["SPW-1042"])).Body.String(), "retry?step=")
	retry := url.Values{"reason": {"new plates"}, "step": {number(steps[0].ID)}}
	do("SPW-1041", "retry", retry, http.StatusBadRequest) // of another ticket
	do("SPW-1042", "retry", retry, http.StatusSeeOther)
	again := ask(h, func(tx *works.Tx) (*works.Step, error) { return tx.Step(steps[0].ID) })
	require.Equal(t, works.StepReady, again.State)
}

func TestAlertsAndDeliveries(t *testing.T) {
	h := open(t, true)
	h.seed()
	require.Equal(t, http.StatusSeeOther, h.post("/alerts/1/acknowledge", nil).Code)
	require.Equal(t, http.StatusConflict, h.post("/alerts/1/acknowledge", nil).Code)
	require.Contains(t, h.get("/alerts").Body.String(), "Acknowledged by local")

	dead := works.DeliveryFilter{States: []works.DeliveryState{works.DeliveryDead}}
	find := func(tx *works.Tx) ([]*works.Delivery, error) { return tx.Deliveries(dead) }
	at := "/deliveries/" + number(ask(h, find)[0].ID)
	require.Equal(t, http.StatusBadRequest, h.post(at+"/discard", nil).Code, "no reason")
	require.Equal(t, http.StatusSeeOther, h.post(at+"/retry", nil).Code)
	require.Empty(t, ask(h, find))
	require.Equal(t, http.StatusSeeOther, h.post(at+"/discard", url.Values{"reason": {"done by hand"}}).Code)
	require.Equal(t, http.StatusConflict, h.post(at+"/discard", url.Values{"reason": {"done by hand"}}).Code)
}

func (h *house) upload(name string, body []byte) *httptest.ResponseRecorder {
	var form bytes.Buffer
	w := multipart.NewWriter(&form)
	part, err := w.CreateFormFile("ticket", name)
	require.NoError(h.t, err)
	_, err = part.Write(body)
	require.NoError(h.t, err)
	require.NoError(h.t, w.Close())
	r := httptest.NewRequest(http.MethodPost, "/upload", &form)
	r.Header.Set("Content-Type", w.FormDataContentType())
	got := httptest.NewRecorder()
	h.handler.ServeHTTP(got, r)
	return got
}

// TestUpload hands tickets in: nothing is taken before a person says so.
func TestUpload(t *testing.T) {
	h := open(t, true)
	count := func() int {
		return ask(h, func(tx *works.Tx) (int, error) { return tx.CountTickets(works.TicketFilter{}) })
	}
	got := h.upload("tide.xjdf", demo(t, "tide-tables.xjdf"))
	require.Equal(t, http.StatusOK, got.Code, got.Body.String())
	checkPage(t, got.Body.String())
	require.Zero(t, count(), "it was only looked at")
	blob := regexp.MustCompile(`name="blob" value="([^"]+)"`).FindStringSubmatch(got.Body.String())
	require.NotNil(t, blob)
	accept := url.Values{"blob": {blob[1]}, "name": {"tide.xjdf"}, "held": {"yes"}}
	done := h.post("/upload/accept", accept)
	require.Equal(t, http.StatusSeeOther, done.Code, done.Body.String())
	require.Equal(t, "/tickets/1?said=accepted", done.Header().Get("Location"))
	k := ask(h, func(tx *works.Tx) (*works.Ticket, error) { return tx.Ticket(1) })
	require.Equal(t, []any{"SPW-1041", works.Submitted, works.EntryHeld, "local"},
		[]any{k.Job, k.State, k.Entry, k.Partner})

	got = h.upload("cards.xjdf", demo(t, "wedding-cards.xjdf"))
	checkPage(t, got.Body.String())
	require.Contains(t, got.Body.String(), "cards.xjdf:7:39")
	require.NotContains(t, got.Body.String(), "/upload/accept")
	got = h.upload("nothing.xjdf", nil)
	require.Equal(t, http.StatusUnprocessableEntity, got.Code)
	checkPage(t, got.Body.String())
	got = h.upload("picture.xjdf", []byte("\x89PNG\r\n\x1a\n\x00\x00"))
	require.Equal(t, http.StatusOK, got.Code)
	require.NotContains(t, got.Body.String(), "/upload/accept")
	require.Equal(t, http.StatusRequestEntityTooLarge, h.upload("large.xjdf", bytes.Repeat([]byte("x"), 1<<20)).Code)
	require.Equal(t, http.StatusBadRequest, h.post("/upload/accept", url.Values{"blob": {"unknown"}, "name": {"x"}}).Code)
	require.Equal(t, 1, count())
}

// TestHostileTicket hands in a ticket whose words want to be obeyed.
func TestHostileTicket(t *testing.T) {
	h := open(t, true)
	evil := `&quot;&gt;&lt;script&gt;alert(1)&lt;/script&gt;&lt;img src=x onerror=alert(2)&gt;`
	body := variant(t, "SPW-1", evil, evil, "2026-03-09T15:00:00+00:00")
	k := h.submit("x.xjdf", body)
	_, err := h.store.Receive(t.Context(), works.Incoming{
		Partner: `"><script>`, Media: `text/html`, MessageID: `"><script>`, Name: `"><script>.html`,
		Body: []byte("<script>alert(1)</script>"),
	})
	require.NoError(t, err)
	for _, path := range []string{"/", "/?text=%22%3E%3Cscript%3E&customer=%3Cscript%3E",
		"/tickets/" + id(k), "/tickets/" + id(k) + "/abort",
		"/messages", "/messages/1", "/messages?partner=%22%3E%3Cscript%3E", "/%3Cscript%3E", "/?said=%3Cscript%3E"} {
		got := h.get(path).Body.String()
		require.NotContains(t, got, "<script>", path)
		require.NotContains(t, got, "<img src=x", path)
		checkPage(t, got)
	}
	source := h.get("/tickets/" + id(k) + "/source")
	require.Equal(t, "text/plain; charset=utf-8", source.Header().Get("Content-Type"))
	require.Equal(t, "nosniff", source.Header().Get("X-Content-Type-Options"))
	saved := h.get("/messages/1/body")
	require.True(t, strings.HasPrefix(saved.Header().Get("Content-Disposition"), "attachment"))
}

func TestPolicy(t *testing.T) {
	h := open(t, true)
	policy := h.get("/").Header().Get("Content-Security-Policy")
	for _, part := range []string{"default-src 'none'", "script-src 'self'", "style-src 'self'", "connect-src 'self'"} {
		require.Contains(t, policy+";", part+";")
	}
	require.NotContains(t, policy, "unsafe")
	require.NotContains(t, h.get("/nowhere").Header().Get("Content-Security-Policy"), "unsafe")
	page := h.get("/").Body.String()
	for _, name := range []string{"board.css", "board.js", "mark.svg"} {
		at := regexp.MustCompile(`/static/[0-9a-f]+/` + name).FindString(page)
		got := h.get(at)
		require.Equal(t, http.StatusOK, got.Code, name)
		require.Contains(t, got.Header().Get("Cache-Control"), "immutable")
	}
	require.Equal(t, http.StatusNotFound, h.get("/static/0/board.js").Code)
}

func id(k *works.Ticket) string { return number(k.ID) }

func number(n int64) string { return strconv.FormatInt(n, 10) }
