package access_test

import (
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/hex"
	"encoding/pem"
	"fmt"
	"math/big"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/access"
)

const token = "0123456789abcdef-harbour"

const partners = `partners:
  - name: harbour-mis
    roles: [sender]
    token: env:HARBOUR_TOKEN
    requests: 120/min
    return to: https://mis.example/jmf
  - name: anna
    roles: operator
    token: file:anna.token
hosts: [mis.example, 10.20.0.0/16, 127.0.0.1]
`

// settings loads a file of partners, with the secrets it asks for.
func settings(t *testing.T, text string) (*access.Settings, []string) {
	t.Helper()
	t.Setenv("HARBOUR_TOKEN", token)
	t.Setenv("SHORT_TOKEN", "short")
	dir := t.TempDir()
	path := filepath.Join(dir, "partners.yaml")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "anna.token"), []byte("anna-has-a-long-token\n"), 0o600))
	s, findings, err := access.Load(path)
	require.NoError(t, err)
	var lines []string
	for _, f := range findings {
		pos := f.Place.Pos()
		lines = append(lines, strings.Join([]string{
			f.Rule.ID, fmt.Sprintf("%d:%d", pos.Line, pos.Column), f.Message(),
		}, " "))
	}
	return s, lines
}

func TestLoad(t *testing.T) {
	s, findings := settings(t, partners)
	require.Empty(t, findings)
	require.Len(t, s.Partners, 2)
	require.Equal(t, access.Rate{Second: 2, Burst: 10}, s.Partners[0].Rate)
	require.True(t, s.Partners[1].May(access.Reader))
	require.False(t, s.Partners[0].May(access.Reader, access.Operator))
	require.Len(t, s.Hosts, 3)
}

func TestMistakes(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		{"", "access/text"},
		{"partners: []\n", "access/text"},
		{"partners: [{name: a, roles: [sender], token: open-sesame-open-sesame}]\n", "access/plain-secret 1:"},
		{"partners: [{name: a, roles: [sender], token: env:SHORT_TOKEN}]\n", "want 16 or more"},
		{"partners: [{name: a, roles: [sender], token: env:NOT_SET}]\n", "the environment has no NOT_SET"},
		{"partners: [{name: a, roles: [king], token: env:HARBOUR_TOKEN}]\n", "one of sender, device, operator, reader, admin"},
		{"partners: [{name: a b, roles: [sender], token: env:HARBOUR_TOKEN}]\n", "letters, digits, points and hyphens"},
		{"partners: [{name: a, roles: [sender]}]\n", `partner has no "token"`},
		{"partners: [{name: a, token: env:HARBOUR_TOKEN}]\n", `partner has no "roles"`},
		{"partners: [{name: a, role: [sender], token: env:HARBOUR_TOKEN}]\n", `"role" is not known here`},
		{"partners: [{name: a, roles: [sender], certificate: abc}]\n", "64 hexadecimal digits"},
		{"partners: [{name: a, roles: [sender], token: env:HARBOUR_TOKEN, requests: often}]\n", "such as 20/s"},
		{"partners: [{name: a, roles: [sender], token: env:HARBOUR_TOKEN}, {name: b, roles: [sender], token: env:HARBOUR_TOKEN}]\n", "access/twice"},
		{partners + "hosts: [x]\n", "access/"},
		{strings.Replace(partners, "mis.example,", "'http://x/',", 1), "a host name, an address or a network"},
	} {
		s, findings := settings(t, test.text)
		require.Nil(t, s, test.text)
		require.Contains(t, strings.Join(findings, "\n"), test.want, test.text)
		require.NotContains(t, strings.Join(findings, "\n"), token)
	}
}

// handler says who asks.
var handler = http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
	_, _ = w.Write([]byte(access.Of(r.Context()).Name))
})

func ask(h http.Handler, change func(*http.Request)) *httptest.ResponseRecorder {
	r := httptest.NewRequest(http.MethodPost, "http://quoin.example/jmf", strings.NewReader("x"))
	if change != nil {
		change(r)
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

func bearer(token string) func(*http.Request) {
	return func(r *http.Request) { r.Header.Set("Authorization", "Bearer "+token) }
}

func TestAllow(t *testing.T) {
	s, _ := settings(t, partners)
	now := time.Date(2026, 11, 25, 8, 0, 0, 0, time.UTC)
	g := access.NewGuard(s, false, func() time.Time { return now })
	h := g.Allow(handler, access.Sender)
	require.Equal(t, http.StatusUnauthorized, ask(h, nil).Code)
	require.Equal(t, http.StatusUnauthorized, ask(h, bearer("wrong")).Code)
	require.Equal(t, http.StatusUnauthorized, ask(h, bearer("")).Code)
	require.Equal(t, http.StatusForbidden, ask(h, bearer("anna-has-a-long-token")).Code)
	w := ask(h, bearer(token))
	require.Equal(t, http.StatusOK, w.Code)
	require.Equal(t, "harbour-mis", w.Body.String())
	require.Equal(t, http.StatusOK, ask(h, func(r *http.Request) { r.SetBasicAuth("any", token) }).Code)
	for range 8 {
		require.Equal(t, http.StatusOK, ask(h, bearer(token)).Code)
	}
	w = ask(h, bearer(token))
	require.Equal(t, http.StatusTooManyRequests, w.Code)
	require.NotEmpty(t, w.Header().Get("Retry-After"))
	now = now.Add(time.Second)
	require.Equal(t, http.StatusOK, ask(h, bearer(token)).Code)
	g.Set(nil)
	require.Equal(t, http.StatusUnauthorized, ask(h, bearer(token)).Code, "nobody is known any more")
}

func TestSession(t *testing.T) {
	s, _ := settings(t, partners)
	now := time.Date(2026, 11, 25, 8, 0, 0, 0, time.UTC)
	g := access.NewGuard(s, false, func() time.Time { return now })
	h := g.Allow(handler, access.Reader)
	w := httptest.NewRecorder()
	r := httptest.NewRequest(http.MethodPost, "http://quoin.example/login", nil)
	require.Nil(t, g.LogIn(w, r, "wrong"))
	require.Empty(t, w.Header())
	require.Equal(t, "anna", g.LogIn(w, r, "anna-has-a-long-token").Name)
	cookie := w.Result().Cookies()[0]
	require.True(t, cookie.HttpOnly)
	require.Equal(t, http.SameSiteStrictMode, cookie.SameSite)
	with := func(headers ...string) *httptest.ResponseRecorder {
		return ask(h, func(r *http.Request) {
			r.AddCookie(cookie)
			for i := 0; i < len(headers); i += 2 {
				r.Header.Set(headers[i], headers[i+1])
			}
		})
	}
	require.Equal(t, http.StatusOK, with("Sec-Fetch-Site", "same-origin").Code)
	require.Equal(t, http.StatusForbidden, with("Sec-Fetch-Site", "cross-site").Code)
	require.Equal(t, http.StatusForbidden, with("Origin", "https://elsewhere.example").Code)
	now = now.Add(13 * time.Hour)
	require.Equal(t, http.StatusUnauthorized, with().Code, "the session is over")
	cookie.Value = strings.Replace(cookie.Value, ".", "x.", 1)
	require.Equal(t, http.StatusUnauthorized, with().Code)
}

func TestOpen(t *testing.T) {
	g := access.NewGuard(nil, true, nil)
	h := g.Allow(handler, access.Operator)
	require.Equal(t, "local", ask(h, nil).Body.String())
	w := ask(h, func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "cross-site") })
	require.Equal(t, http.StatusForbidden, w.Code, "a page of another site may not act through the browser")
}

func TestCheckListen(t *testing.T) {
	s, _ := settings(t, partners)
	require.NoError(t, access.CheckListen("127.0.0.1:8080", nil, false, false))
	require.NoError(t, access.CheckListen("[::1]:0", nil, false, false))
	require.NoError(t, access.CheckListen(":8080", s, true, false))
	require.NoError(t, access.CheckListen(":8080", s, false, true))
	require.ErrorContains(t, access.CheckListen("nonsense", nil, false, false), "want an address such as")
	require.ErrorContains(t, access.CheckListen(":8080", nil, true, false), "name the partners with --partners")
	require.ErrorContains(t, access.CheckListen("0.0.0.0:80", s, false, false), "without TLS")
	require.ErrorContains(t, access.CheckListen("quoin.example:80", nil, true, false), "name the partners")
}

func TestClient(t *testing.T) {
	moved := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/away" {
			http.Redirect(w, r, "http://192.0.2.1/", http.StatusFound)
		}
	}))
	defer moved.Close()
	here, err := access.ParseHost("127.0.0.1")
	require.NoError(t, err)
	client := access.Client([]access.Host{here}, 5*time.Second)
	res, err := client.Get(moved.URL + "/away")
	require.NoError(t, err)
	res.Body.Close()
	require.Equal(t, http.StatusFound, res.StatusCode, "redirects are not followed")

	// A name on the list that leads back to this machine is refused after it was looked up.
	named, err := access.ParseHost("localhost")
	require.NoError(t, err)
	_, port, err := net.SplitHostPort(moved.Listener.Addr().String())
	require.NoError(t, err)
	_, err = access.Client([]access.Host{named}, 5*time.Second).Get("http://localhost:" + port)
	require.ErrorIs(t, err, access.ErrHost)
	_, err = access.Client(nil, 5*time.Second).Get(moved.URL)
	require.ErrorIs(t, err, access.ErrHost)
}

// identity writes a certificate of its own making, and gives it.
func identity(t *testing.T, dir, name string, usage x509.ExtKeyUsage) tls.Certificate {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	require.NoError(t, err)
	template := &x509.Certificate{
		SerialNumber: big.NewInt(time.Now().UnixNano()), Subject: pkix.Name{CommonName: name},
		NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour), IsCA: true, BasicConstraintsValid: true,
		ExtKeyUsage: []x509.ExtKeyUsage{usage}, IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)},
	}
	raw, err := x509.CreateCertificate(rand.Reader, template, template, &key.PublicKey, key)
	require.NoError(t, err)
	private, err := x509.MarshalECPrivateKey(key)
	require.NoError(t, err)
	for suffix, block := range map[string]*pem.Block{
		".crt": {Type: "CERTIFICATE", Bytes: raw}, ".key": {Type: "EC PRIVATE KEY", Bytes: private},
	} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name+suffix), pem.EncodeToMemory(block), 0o600))
	}
	return tls.Certificate{Certificate: [][]byte{raw}, PrivateKey: key}
}

// A client certificate proves a partner, and a certificate of the service that
// is renewed comes into force without a restart.
func TestMutualTLS(t *testing.T) {
	dir := t.TempDir()
	identity(t, dir, "service", x509.ExtKeyUsageServerAuth)
	client := identity(t, dir, "press", x509.ExtKeyUsageClientAuth)
	stranger := identity(t, dir, "stranger", x509.ExtKeyUsageClientAuth)
	sum := sha256.Sum256(client.Certificate[0])
	s, findings := settings(t, "partners: [{name: offset-b2, roles: [device], certificate: '"+hex.EncodeToString(sum[:])+"'}]\n")
	require.Empty(t, findings)

	file := func(name string) string { return filepath.Join(dir, name) }
	config, err := access.TLSFiles{Certificate: file("service.crt"), Key: file("service.key"), Clients: file("press.crt")}.Config()
	require.NoError(t, err)
	server := httptest.NewUnstartedServer(access.NewGuard(s, false, nil).Allow(handler, access.Device))
	server.TLS = config
	server.StartTLS()
	defer server.Close()

	var seen []byte
	call := func(certificates ...tls.Certificate) (int, error) {
		c := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{
			InsecureSkipVerify: true, Certificates: certificates,
			VerifyPeerCertificate: func(raw [][]byte, _ [][]*x509.Certificate) error { seen = raw[0]; return nil },
		}}}
		defer c.CloseIdleConnections()
		r, err := http.NewRequestWithContext(context.Background(), http.MethodGet, server.URL, nil)
		require.NoError(t, err)
		res, err := c.Do(r)
		if err != nil {
			return 0, err
		}
		defer res.Body.Close()
		return res.StatusCode, nil
	}
	code, err := call(client)
	require.NoError(t, err)
	require.Equal(t, http.StatusOK, code)
	code, err = call()
	require.NoError(t, err)
	require.Equal(t, http.StatusUnauthorized, code)
	code, err = call(stranger)
	require.True(t, err != nil || code == http.StatusUnauthorized, "nobody vouches for it")

	first := seen
	identity(t, dir, "service", x509.ExtKeyUsageServerAuth)
	require.Eventually(t, func() bool {
		code, err := call(client)
		return err == nil && code == http.StatusOK && string(seen) != string(first)
	}, 20*time.Second, 200*time.Millisecond)
}

func TestHeaders(t *testing.T) {
	w := ask(access.Headers(http.NotFoundHandler()), nil)
	require.Contains(t, w.Header().Get("Content-Security-Policy"), "default-src 'none'")
	require.Equal(t, "nosniff", w.Header().Get("X-Content-Type-Options"))
}
