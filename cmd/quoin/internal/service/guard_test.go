package service_test

import (
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/service"
	"quoin/cmd/quoin/internal/works"
	"quoin/jdf"
	"quoin/jdf/message"
)

// The tokens of the partners of a guarded service.
const (
	misToken   = "0123456789abcdef-harbour"
	pressToken = "0123456789abcdef-press-1"
)

// guarded starts a service with two partners, an office and a press, and gives the
// file of them.
func guarded(t *testing.T) (*house, string) {
	t.Helper()
	t.Setenv("MIS_TOKEN", misToken)
	t.Setenv("PRESS_TOKEN", pressToken)
	file := filepath.Join(t.TempDir(), "partners.yaml")
	require.NoError(t, os.WriteFile(file, []byte("partners:\n  - {name: mis, roles: [sender], token: env:MIS_TOKEN}\n"+
		"  - {name: press, roles: [device], token: env:PRESS_TOKEN}\n"), 0o600))
	partners, findings, err := access.Load(file)
	require.NoError(t, err)
	require.Empty(t, findings)
	panics := service.Addition{Name: "panics", Mount: func(mux *http.ServeMux, _ *service.Parts) {
		mux.HandleFunc("GET /panic", func(http.ResponseWriter, *http.Request) { panic("on purpose") })
	}}
	return start(t, service.Config{
		Plant: saltmarsh(t, nil), Partners: partners, PartnersFile: file, MostBody: 50_000, Additions: []service.Addition{panics},
	}), file
}

// request asks with the token of a partner, "" for nobody's.
func (h *house) request(t *testing.T, method, path, token, body string) (int, []byte) {
	t.Helper()
	req, err := http.NewRequest(method, h.url(path), strings.NewReader(body))
	require.NoError(t, err)
	req.Header.Set("Content-Type", compose.MediaType(jdf.KindXJMF))
	if token != "" {
		req.Header.Set("Authorization", "Bearer "+token)
	}
	res, err := http.DefaultClient.Do(req)
	require.NoError(t, err)
	defer res.Body.Close()
	text, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	require.Equal(t, "nosniff", res.Header.Get("X-Content-Type-Options"))
	return res.StatusCode, text
}

func TestFailsClosed(t *testing.T) {
	_, err := service.New(t.Context(), service.Config{
		Plant: saltmarsh(t, nil), Store: filepath.Join(t.TempDir(), "x.db"), Listen: ":0",
	})
	require.ErrorContains(t, err, "name the partners")
}

// Nobody gets in who should not, and nothing gets in that is too much.
func TestGuarded(t *testing.T) {
	h, _ := guarded(t)
	status := func(method, path, token string) int { code, _ := h.request(t, method, path, token, ""); return code }
	require.Equal(t, http.StatusOK, status("GET", "/health", ""))
	require.Eventually(t, func() bool { return status("GET", "/ready", "") == http.StatusOK }, 5*time.Second,
		10*time.Millisecond)
	require.Equal(t, http.StatusUnauthorized, status("POST", "/jmf", ""))
	require.Equal(t, http.StatusUnauthorized, status("GET", "/metrics", ""))
	require.Equal(t, http.StatusForbidden, status("GET", "/metrics", misToken))
	require.Equal(t, http.StatusMethodNotAllowed, status("GET", "/jmf", misToken))
	require.Equal(t, http.StatusInternalServerError, status("GET", "/panic", ""))
	code, _ := h.request(t, "POST", "/jmf", misToken, strings.Repeat(" ", 60_000))
	require.Equal(t, http.StatusRequestEntityTooLarge, code)
	require.NotContains(t, h.log.text(), misToken, "no secret in the log")
}

// Who submits may not shut the house down, and is told so by the standard's code; who
// runs it may: then nothing more is taken until it is woken.
func TestShutDown(t *testing.T) {
	for name, g := range generations {
		t.Run(name, func(t *testing.T) {
			guarded, _ := guarded(t)
			power := func(kind string) (text, id string) {
				id = kind + "C1"
				if g.version.Major < 2 {
					return fmt.Sprintf(`<JMF xmlns="http://www.CIP4.org/JDFSchema_1_1" SenderID="mis" Version="%s"
						TimeStamp="2026-11-25T11:59:00Z"><Command ID="%s" Type="%[3]s"><%[3]sCmdParams/></Command></JMF>`,
						g.version, id, kind), id
				}
				params := ""
				if kind == "ShutDown" {
					params = "<ShutDownCmdParams/>"
				}
				header := func(id string) string {
					return fmt.Sprintf(`<Header DeviceID="mis" ID="%s" Time="2026-11-25T11:59:00Z"/>`, id)
				}
				return fmt.Sprintf(`<XJMF xmlns="http://www.CIP4.org/JDFSchema_2_0">%s<Command%[2]s>%s%s</Command%[2]s></XJMF>`,
					header(kind+"D1"), kind, header(id), params), id
			}
			text, id := power("ShutDown")
			code, answer := guarded.request(t, "POST", "/jmf", misToken, text)
			require.Equal(t, http.StatusOK, code)
			m := compose.AnswerTo(decode(t, answer), id)
			require.Equal(t, message.AuthenticationDenied, message.Code(m.Returned()), string(answer))

			h := start(t, service.Config{Plant: saltmarsh(t, nil)}) // where whoever is at the machine may do all
			kept := h.submit(t, g.version, g.ticket, compose.Submission{}).QueueEntries[0].ID.Value
			_, answer = h.post(t, "application/xml", []byte(text))
			require.Zero(t, compose.AnswerTo(decode(t, answer), id).Returned(), string(answer))
			refused := h.submit(t, g.version, g.ticket, compose.Submission{})
			require.Equal(t, message.QueueRefuses, message.Code(refused.Returned()))
			e := envelope(g.version, "H")
			hold := h.ask(t, e, e.Modify(compose.Change{Operation: message.Hold, Entries: []string{kept}}))
			require.Zero(t, hold.Returned(), "what is in the queue is still dealt with")
			text, id = power("WakeUp")
			_, answer = h.post(t, "application/xml", []byte(text))
			require.Zero(t, compose.AnswerTo(decode(t, answer), id).Returned(), string(answer))
			require.Zero(t, h.submit(t, g.version, g.ticket, compose.Submission{}).Returned())
		})
	}
}

// A service whose disk is full is not ready, and is again when there is room: it asks
// whether it can write, not whether the store can be read.
func TestReadyAsksForRoom(t *testing.T) {
	h := start(t, service.Config{Plant: saltmarsh(t, nil)})
	ready := func() int {
		res, err := http.Get(h.url("/ready"))
		require.NoError(t, err)
		require.NoError(t, res.Body.Close())
		return res.StatusCode
	}
	require.Eventually(t, func() bool { return ready() == http.StatusOK }, 5*time.Second, 10*time.Millisecond)
	pages := func(most string) {
		t.Helper()
		require.NoError(t, h.Parts().Store.Write(t.Context(), "", func(tx *works.Tx) error {
			var n int
			return tx.Database().QueryRow("PRAGMA max_page_count = " + most).Scan(&n)
		}))
	}
	probed := time.Now()
	pages("1") // which SQLite takes for as many as there are: it says that the disk is full from then on
	require.NoError(t, h.Parts().Store.Write(t.Context(), "", func(tx *works.Tx) error {
		return tx.SetValue("probe", "") // gives its pages back to the file,
	}))
	var filled error
	for n := 0; filled == nil && n < 100; n++ { // and others take them
		filled = h.Parts().Store.Write(t.Context(), "", func(tx *works.Tx) error {
			return tx.SetValue(fmt.Sprint("filler ", n), strings.Repeat("x", 3_000))
		})
	}
	require.ErrorContains(t, filled, "full")
	require.Eventually(t, func() bool { return ready() == http.StatusServiceUnavailable }, 10*time.Second,
		50*time.Millisecond, "a full disk is not ready")
	require.Greater(t, time.Since(probed), 2*time.Second, "the store is not written to for everybody who asks")
	pages("1000000")
	require.Eventually(t, func() bool { return ready() == http.StatusOK }, 30*time.Second, 100*time.Millisecond)
}

// A machine may ask, and not submit.
func TestRoles(t *testing.T) {
	h, _ := guarded(t)
	question := envelope(jdf.LastXJDF, "N")
	question.Ask(compose.Question{Type: "KnownDevices"})
	text, err := question.Bytes()
	require.NoError(t, err)
	code, _ := h.request(t, "POST", "/jmf", pressToken, string(text))
	require.Equal(t, http.StatusOK, code)

	file := attachment(t, "tide-tables.xjdf")
	submit := envelope(jdf.LastXJDF, "M")
	id := submit.Submit(compose.Submission{URL: submit.URL(file)})
	body, _, err := compose.Package(submit, file)
	require.NoError(t, err)
	code, answer := h.request(t, "POST", "/jmf", pressToken, string(body))
	require.Equal(t, http.StatusOK, code)
	m := compose.AnswerTo(decode(t, answer), id)
	require.NotNil(t, m, string(answer))
	require.Equal(t, message.AuthenticationDenied, message.Code(m.Returned()))
}

// Whoever is taken out of the file of partners is out.
func TestPartnersReread(t *testing.T) {
	h, file := guarded(t)
	left := "partners:\n  - {name: press, roles: [device], token: env:PRESS_TOKEN}\n"
	require.NoError(t, os.WriteFile(file, []byte(left), 0o600))
	require.Eventually(t, func() bool {
		code, _ := h.request(t, "GET", "/metrics", misToken, "")
		return code == http.StatusUnauthorized
	}, 10*time.Second, 100*time.Millisecond)
}
