package api_test

import (
	"bytes"
	"context"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/api"
	"quoin/cmd/quoin/internal/ledger"
	"quoin/cmd/quoin/internal/service"
	"quoin/cmd/quoin/internal/works"
	"quoin/validate/plant"
)

const root = "../../../../testdata/"

// house is a running service on a store of its own, with the API.
type house struct {
	t     *testing.T
	url   string
	store *works.Store
	books *ledger.Ledger
	token string // of who asks
}

var tokens = map[string]string{"reader": "reader-token-0123456789abcdef",
	"operator": "operator-token-0123456789abcdef",
	"sender":   "sender-token-0123456789abcdef", "device": "device-token-0123456789abcdef", "admin": "admin-token-0123456789abcdef",
	"other": "other-token-0123456789abcdef"}

func settings(t *testing.T) *access.Settings {
	t.Helper()
	var text strings.Builder
	text.WriteString("partners:\n")
	for name, token := range tokens {
		role := name
		if name == "other" {
			role = "sender"
		}
		file := filepath.Join(t.TempDir(), name)
		require.NoError(t, os.WriteFile(file, []byte(token), 0o600))
		text.WriteString("  - name: " + name + "\n    roles: [" + role + "]\n    token: file:" + file + "\n    requests: 1000/s\n")
	}
	path := filepath.Join(t.TempDir(), "partners.yaml")
	require.NoError(t, os.WriteFile(path, []byte(text.String()), 0o600))
	s, findings, err := access.Load(path)
	require.NoError(t, err)
	require.NotNil(t, s, "%v", findings)
	return s
}

func open(t *testing.T) *house {
	t.Helper()
	p, _, err := plant.LoadFile(root + "plant/saltmarsh.yaml")
	require.NoError(t, err)
	for _, m := range p.Machines() { // nothing is to be sent anywhere
		m.Connection = plant.Connection{Dialect: plant.XJMF}
	}
	s, err := service.New(t.Context(), service.Config{
		Plant: p, Store: filepath.Join(t.TempDir(), "store.db"), Listen: "127.0.0.1:0", Partners: settings(t),
		Additions: []service.Addition{api.Addition()}, Poll: 50 * time.Millisecond, Grace: 5 * time.Second, MostBody: 1 << 20,
	})
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- s.Run(ctx) }()
	t.Cleanup(func() {
		cancel()
		begun := time.Now()
		require.NoError(t, <-done)
		require.Less(t, time.Since(begun), 4*time.Second, "streams are let go when the service ends")
	})
	return &house{t: t, url: "http://" + s.Address(), store: s.Parts().Store, books: s.Parts().Ledger,
		token: tokens["operator"]}
}

// as is the same house for another partner.
func (h *house) as(name string) *house {
	other := *h
	other.token = tokens[name]
	return &other
}

type answer struct {
	*http.Response
	body []byte
}

func (a answer) json(t *testing.T) map[string]any {
	t.Helper()
	var v map[string]any
	require.NoError(t, json.Unmarshal(a.body, &v), "%s", a.body)
	return v
}

func (h *house) ask(method, path string, body []byte, headers ...string) answer {
	h.t.Helper()
	r, err := http.NewRequestWithContext(h.t.Context(), method, h.url+api.Prefix+path, bytes.NewReader(body))
	require.NoError(h.t, err)
	if h.token != "" {
		r.Header.Set("Authorization", "Bearer "+h.token)
	}
	for i := 0; i+1 < len(headers); i += 2 {
		r.Header.Set(headers[i], headers[i+1])
	}
	resp, err := http.DefaultClient.Do(r)
	require.NoError(h.t, err)
	defer resp.Body.Close()
	text, err := io.ReadAll(resp.Body)
	require.NoError(h.t, err)
	return answer{resp, text}
}

func (h *house) get(path string) answer { return h.ask("GET", path, nil) }

func demo(t *testing.T, name string) []byte {
	t.Helper()
	text, err := os.ReadFile(root + "demo/" + name)
	require.NoError(t, err)
	return text
}

// submit hands in a demo ticket, and gives its number.
func (h *house) submit(name string) int64 {
	h.t.Helper()
	a := h.ask("POST", "/jobs?name="+name, demo(h.t, name))
	require.Equal(h.t, http.StatusCreated, a.StatusCode, "%s", a.body)
	id, err := strconv.ParseInt(filepath.Base(a.Header.Get("Location")), 10, 64)
	require.NoError(h.t, err)
	return id
}

const because = `{"reason":"because a test says so"}`

func (h *house) act(id int64, what, tag string) answer {
	return h.ask("POST", "/jobs/"+strconv.FormatInt(id, 10)+"/"+what, []byte(because), "Content-Type",
		"application/json", "If-Match", tag)
}

func (h *house) job(id int64) answer { return h.get("/jobs/" + strconv.FormatInt(id, 10)) }

// planned hands in a ticket and waits for its plan.
func (h *house) planned(name string) int64 {
	h.t.Helper()
	id := h.submit(name)
	a := h.act(id, "plan", "*")
	require.Equal(h.t, http.StatusOK, a.StatusCode, "%s", a.body)
	require.Eventually(h.t, func() bool { return h.job(id).json(h.t)["state"] == "planned" }, 30*time.Second,
		50*time.Millisecond)
	return id
}

func (a answer) problem(t *testing.T, status int, code string) {
	t.Helper()
	require.Equal(t, status, a.StatusCode, "%s", a.body)
	require.Equal(t, "application/problem+json", a.Header.Get("Content-Type"))
	p := a.json(t)
	require.Equal(t, code, p["code"], "%s", a.body)
	require.EqualValues(t, status, p["status"])
	require.NotEmpty(t, p["detail"])
	require.NotEmpty(t, p["do"])
}

func TestLostUpdate(t *testing.T) {
	h := open(t)
	id := h.submit("tide-tables.xjdf")
	first := h.job(id)
	tag := first.Header.Get("ETag")
	require.NotEmpty(t, tag)
	same := h.ask("GET", "/jobs/"+strconv.FormatInt(id, 10), nil, "If-None-Match", tag)
	require.Equal(t, http.StatusNotModified, same.StatusCode)

	h.act(id, "hold", "").problem(t, http.StatusPreconditionRequired, "match-missing")
	held := h.act(id, "hold", tag)
	require.Equal(t, http.StatusOK, held.StatusCode, "%s", held.body)
	require.Equal(t, "Held", held.json(t)["queue"])
	require.NotEqual(t, tag, held.Header.Get("ETag"))
	h.act(id, "resume", tag).problem(t, http.StatusPreconditionFailed, "match")
	require.Equal(t, "Held", h.job(id).json(t)["queue"], "nothing was changed")
	h.act(id, "release", "*").problem(t, http.StatusConflict, "state")
	require.Equal(t, http.StatusOK, h.act(id, "resume", held.Header.Get("ETag")).StatusCode)

	// Of many who saw the same state, one acts.
	tag = h.job(id).Header.Get("ETag")
	codes := make(chan int, 8)
	for range cap(codes) {
		go func() { codes <- h.act(id, "hold", tag).StatusCode }()
	}
	count := map[int]int{}
	for range cap(codes) {
		count[<-codes]++
	}
	require.Equal(t, map[int]int{http.StatusOK: 1, http.StatusPreconditionFailed: 7}, count)
}

func TestIdempotency(t *testing.T) {
	h := open(t)
	body := demo(t, "tide-tables.xjdf")
	places := make(chan string, 8)
	for range cap(places) {
		go func() {
			places <- h.ask("POST", "/jobs?name=a.xjdf", body, "Idempotency-Key", "one").Header.Get("Location")
		}()
	}
	first := <-places
	require.NotEmpty(t, first)
	for range cap(places) - 1 {
		require.Equal(t, first, <-places)
	}
	again := h.ask("POST", "/jobs?name=a.xjdf", body, "Idempotency-Key", "one")
	require.Equal(t, http.StatusCreated, again.StatusCode)
	require.Equal(t, "true", again.Header.Get("Idempotency-Replayed"))
	require.Len(t, h.get("/jobs").json(t)["items"], 1)

	h.ask("POST", "/jobs", demo(t, "playbill.jdf"), "Idempotency-Key", "one").problem(t,
		http.StatusUnprocessableEntity, "key-used")
	theirs := h.as("sender").ask("POST", "/jobs", body, "Idempotency-Key", "one")
	require.Equal(t, http.StatusCreated, theirs.StatusCode)
	require.NotEqual(t, first, theirs.Header.Get("Location"), "a key is that of its partner")
	require.Equal(t, http.StatusCreated, h.ask("POST", "/jobs", body).StatusCode)
	require.Len(t, h.get("/jobs").json(t)["items"], 3, "without a key each is new")
}

func TestSendersSeeTheirOwn(t *testing.T) {
	h := open(t)
	mine := h.as("sender").submit("tide-tables.xjdf")
	require.Equal(t, http.StatusOK, h.as("sender").job(mine).StatusCode)
	require.Equal(t, http.StatusOK, h.as("reader").job(mine).StatusCode)
	for _, part := range []string{"", "/steps", "/findings", "/plan", "/history", "/source", "/plan/sheets/S1"} {
		h.as("other").get("/jobs/"+strconv.FormatInt(mine, 10)+part).problem(t, http.StatusNotFound, "unknown")
	}
	require.Empty(t, h.as("other").get("/jobs?partner=sender").json(t)["items"])
	require.Len(t, h.as("sender").get("/jobs").json(t)["items"], 1)
}

func TestPages(t *testing.T) {
	h := open(t)
	want := map[float64]bool{}
	for range 7 {
		want[float64(h.submit("tide-tables.xjdf"))] = true
	}
	path, pages := "/jobs?limit=3&order=change", 0
	for next := path; next != ""; pages++ {
		a := h.get(next).json(t)
		for _, one := range a["items"].([]any) {
			id := one.(map[string]any)["id"].(float64)
			require.True(t, want[id], "no item comes twice")
			delete(want, id)
		}
		next = ""
		if cursor, more := a["next"].(string); more {
			next = path + "&cursor=" + cursor
		}
	}
	require.Equal(t, 3, pages)
	require.Empty(t, want)
	cursor := h.get(path).json(t)["next"].(string)
	h.get("/jobs?limit=3&order=due&cursor="+cursor).problem(t, http.StatusBadRequest, "cursor")
	h.get("/messages?cursor="+cursor).problem(t, http.StatusBadRequest, "cursor")
}

// What comes in or goes between two pages moves nothing: every list tells what was there
// when it was begun, once.
func TestPagesStandStill(t *testing.T) {
	h := open(t)
	at, n := time.Date(2026, 11, 25, 6, 0, 0, 0, time.UTC), 0
	add := func() (id int64) {
		n++
		require.NoError(t, h.store.Write(t.Context(), "", func(tx *works.Tx) error {
			k, err := tx.Submit(works.Submission{
				Job: fmt.Sprint("SM-", n), Customer: []string{"Ämter der Küste", "Harbour Office"}[n%2], Partner: "sender",
				Body: []byte("<XJDF/>"), Held: true, Due: at.Add(-time.Duration(n) * time.Hour),
			})
			if err != nil {
				return err
			}
			id = k.ID
			_, err = tx.Send(works.NewDelivery{Key: fmt.Sprint(n), Kind: "Test", Partner: "sender", Address: "/nowhere",
				Due: time.Now().Add(time.Hour), Body: []byte("x")})
			if err != nil {
				return err
			}
			_, _, err = tx.Raise(works.Alert{Kind: "test", Key: fmt.Sprint(n), Severity: "note", Text: "a test"})
			return err
		}))
		return id
	}
	for range 5 {
		add()
	}
	for _, path := range []string{"/jobs?order=queue", "/jobs?order=due", "/jobs?order=change", "/deliveries?kind=Test",
		"/chores?kind=deliver", "/alerts?kind=test"} {
		before := n
		require.Eventually(t, func() bool { return len(numbers(t, h, "/jobs?limit=500&state=received")) == 0 },
			30*time.Second, 20*time.Millisecond, "all are checked, which is a change")
		whole := numbers(t, h, path+"&limit=500")
		require.Len(t, whole, before, path)
		var seen []int64
		for next := path + "&limit=2"; ; {
			p := h.get(next).json(t)
			for _, one := range p["items"].([]any) {
				seen = append(seen, int64(one.(map[string]any)["id"].(float64)))
			}
			cursor, more := p["next"].(string)
			if !more {
				break
			}
			next = path + "&limit=2&cursor=" + cursor
			if n < before+3 {
				add()
			}
		}
		known := slices.DeleteFunc(slices.Clone(seen), func(id int64) bool { return !slices.Contains(whole, id) })
		require.Equal(t, whole, known, path)
		require.Equal(t, len(seen), len(slices.Compact(slices.Sorted(slices.Values(seen)))), "%s tells something twice", path)
	}
	require.Len(t, numbers(t, h, "/jobs?limit=500&customer=%C3%A4mter"), n/2, "whatever the case")
	require.Len(t, numbers(t, h, "/jobs?limit=500&customer=harbour"), n-n/2)
	require.Empty(t, numbers(t, h, "/jobs?customer=SM-1"), "the customer alone is looked at")
	require.Empty(t, numbers(t, h, "/jobs?customer=%25"), "letters mean themselves")
	forged := base64.RawURLEncoding.EncodeToString([]byte(`["x","1"]`))
	h.get("/alerts?cursor="+forged).problem(t, http.StatusBadRequest, "cursor")
}

// numbers are the ids of a page.
func numbers(t *testing.T, h *house, path string) (all []int64) {
	t.Helper()
	for _, one := range h.get(path).json(t)["items"].([]any) {
		all = append(all, int64(one.(map[string]any)["id"].(float64)))
	}
	return all
}

func TestHostile(t *testing.T) {
	h := open(t)
	h.get("/jobs?limt=3").problem(t, http.StatusBadRequest, "parameter-unknown")
	h.get("/jobs?limit=100000").problem(t, http.StatusBadRequest, "parameter-wrong")
	h.get("/jobs?state=lost").problem(t, http.StatusBadRequest, "parameter-wrong")
	h.get("/jobs?search="+strings.Repeat("x", 501)).problem(t, http.StatusBadRequest, "parameter-wrong")
	h.get("/jobs?search=%00'%3B--%25").problem(t, http.StatusBadRequest, "parameter-wrong")
	h.get("/jobs/0").problem(t, http.StatusNotFound, "unknown")
	h.get("/jobs/99999999999999999999").problem(t, http.StatusNotFound, "unknown")
	h.get("/jobs/12345").problem(t, http.StatusNotFound, "unknown")
	h.get("/nothing").problem(t, http.StatusNotFound, "path-unknown")
	wrong := h.ask("PUT", "/jobs", nil)
	wrong.problem(t, http.StatusMethodNotAllowed, "method-unknown")
	require.Contains(t, wrong.Header.Get("Allow"), "POST")
	h.ask("POST", "/validate", nil).problem(t, http.StatusBadRequest, "body-empty")
	h.ask("POST", "/validate", bytes.Repeat([]byte("x"), 2<<20)).problem(t, http.StatusRequestEntityTooLarge,
		"too-large")
	h.ask("POST", "/validate?profile=/etc/passwd", []byte("<a/>")).problem(t, http.StatusBadRequest,
		"parameter-wrong")
	h.ask("POST", "/jobs", []byte("PK\x03\x04broken")).problem(t, http.StatusUnprocessableEntity, "no-ticket")
	h.ask("POST", "/jobs", []byte("<XJDF")).problem(t, http.StatusUnprocessableEntity, "unreadable")
	h.ask("POST", "/jobs", []byte(`<JMF xmlns="http://www.CIP4.org/JDFSchema_1_1"/>`)).problem(t,
		http.StatusUnprocessableEntity, "no-ticket")
	h.ask("POST", "/jobs", demo(t, "playbill.jdf"), "Idempotency-Key", "a b").problem(t, http.StatusBadRequest,
		"key-wrong")
	h.ask("POST", "/plan", []byte(`<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0"/>`)).problem(t,
		http.StatusUnprocessableEntity, "no-plan")
	h.ask("POST", "/convert?to=xjdf&version=banana", demo(t, "playbill.jdf")).problem(t, http.StatusBadRequest,
		"parameter-wrong")
	h.ask("POST", "/validate", []byte("x"), "Content-Type", "multipart/form-data; boundary=y").problem(t,
		http.StatusBadRequest, "body-wrong")
	id := h.submit("tide-tables.xjdf")
	path := "/jobs/" + strconv.FormatInt(id, 10) + "/hold"
	send := func(text, media string) answer {
		return h.ask("POST", path, []byte(text), "Content-Type", media, "If-Match", "*")
	}
	send(because, "text/plain").problem(t, http.StatusUnsupportedMediaType, "media-type")
	send(`{"reason":""}`, "application/json").problem(t, http.StatusUnprocessableEntity, "field-wrong")
	send(`{"reason":"a","prio":1}`, "application/json").problem(t, http.StatusBadRequest, "body-wrong")
	send(because+"{}", "application/json").problem(t, http.StatusBadRequest, "body-wrong")
	send(`{"reason":"`+strings.Repeat("x", 20<<10)+`"}`, "application/json").problem(t,
		http.StatusRequestEntityTooLarge, "too-large")
	h.ask("POST", "/jobs/1/steps/77/retry", []byte(because), "Content-Type", "application/json", "If-Match", "*").
		problem(t, http.StatusNotFound, "unknown")
	evil := h.ask("POST", "/jobs?name=..%2F..%2Fetc%2Fpasswd", demo(t, "tide-tables.xjdf"))
	require.Equal(t, "passwd", evil.json(t)["items"].([]any)[0].(map[string]any)["file"])
}

func TestGuardSpeaksInProblems(t *testing.T) {
	h := open(t)
	h.token = ""
	nobody := h.get("/jobs")
	nobody.problem(t, http.StatusUnauthorized, "who")
	require.Contains(t, nobody.Header.Get("WWW-Authenticate"), "Bearer")
	h.as("reader").ask("POST", "/jobs", demo(t, "playbill.jdf")).problem(t, http.StatusForbidden, "forbidden")
	require.Equal(t, http.StatusOK, h.as("device").get("/whoami").StatusCode)
}
