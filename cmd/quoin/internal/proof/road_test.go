package proof

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"io"
	"net/http"
	"net/http/httptest"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"quoin/cmd/quoin/internal/compose"
	"quoin/jdf"
	"quoin/jdf/message"
)

// road is the way to the service: one address in front of processes that come and go.
// It remembers what was acknowledged. When no process answers, or one dies before its
// answer is through, the connection breaks, as it would without the road.
type road struct {
	server *httptest.Server
	client *http.Client
	turn   atomic.Uint64

	lock   sync.Mutex
	to     []string        // where processes answer
	heard  map[string]bool // hashes of the bodies that were acknowledged
	acks   int             // acknowledgements, those of repetitions too
	broken int             // requests without an answer
	busy   int             // answers with 503
}

func newRoad(t testing.TB) *road {
	r := &road{heard: map[string]bool{}, client: &http.Client{
		Timeout: time.Minute, Transport: &http.Transport{MaxIdleConnsPerHost: 32},
	}}
	r.server = httptest.NewServer(http.HandlerFunc(r.pass))
	t.Cleanup(r.server.Close)
	t.Cleanup(r.client.CloseIdleConnections)
	return r
}

// lead says where the road leads.
func (r *road) lead(to ...string) {
	r.lock.Lock()
	defer r.lock.Unlock()
	r.to = to
}

func (r *road) next() string {
	r.lock.Lock()
	defer r.lock.Unlock()
	if len(r.to) == 0 {
		return ""
	}
	return r.to[r.turn.Add(1)%uint64(len(r.to))]
}

func (r *road) pass(w http.ResponseWriter, in *http.Request) {
	body, err := io.ReadAll(in.Body)
	to := r.next()
	if err != nil || to == "" {
		panic(http.ErrAbortHandler)
	}
	out, err := http.NewRequestWithContext(in.Context(), in.Method, "http://"+to+in.URL.RequestURI(), bytes.NewReader(body))
	if err != nil {
		panic(http.ErrAbortHandler)
	}
	out.Header.Set("Content-Type", in.Header.Get("Content-Type"))
	response, err := r.client.Do(out)
	if err != nil {
		r.lost()
		panic(http.ErrAbortHandler)
	}
	defer response.Body.Close()
	answer, err := io.ReadAll(response.Body)
	if err != nil {
		r.lost()
		panic(http.ErrAbortHandler)
	}
	r.note(body, response.StatusCode, answer)
	w.Header().Set("Content-Type", response.Header.Get("Content-Type"))
	w.WriteHeader(response.StatusCode)
	_, _ = w.Write(answer) // who went away asks again
}

func (r *road) lost() {
	r.lock.Lock()
	defer r.lock.Unlock()
	r.broken++
}

func (r *road) note(body []byte, status int, answer []byte) {
	taken := taken(status, answer)
	r.lock.Lock()
	defer r.lock.Unlock()
	if status == http.StatusServiceUnavailable {
		r.busy++
	}
	if taken {
		r.acks++
		r.heard[hashOf(body)] = true
	}
}

// taken reports whether an answer says that the message was taken.
func taken(status int, answer []byte) bool {
	if status/100 != 2 {
		return false
	}
	doc, faults, err := jdf.Read("answer", bytes.NewReader(answer), jdf.Limits{})
	if err != nil || len(faults) > 0 || !doc.Kind.Message() {
		return len(bytes.TrimSpace(answer)) == 0
	}
	for _, m := range message.Decode(doc).Messages {
		if compose.OutcomeOf(m).Code != message.Success {
			return false
		}
	}
	return true
}

func hashOf(body []byte) string {
	sum := sha256.Sum256(body)
	return hex.EncodeToString(sum[:])
}
