package service_test

import (
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
