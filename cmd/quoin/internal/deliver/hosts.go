package deliver

import (
	"net/http"
	"net/netip"
	"net/url"
	"slices"
	"strings"
	"sync"
	"time"

	"quoin/cmd/quoin/internal/access"
)

// Hosts says to which hosts anything may be sent.
type Hosts struct {
	Common  func() []access.Host       // for all; nil is none
	Partner func(name string) []string // addresses that one partner may name; nil is none
	Devices func() []string            // addresses of the devices of the plant
	Timeout time.Duration              // of one request; default a minute

	mu      sync.Mutex
	clients map[string]*http.Client // by the hosts that they may reach
}

// loopbacks are the addresses that localhost leads to.
var loopbacks = []access.Host{
	{Network: netip.MustParsePrefix("127.0.0.0/8")}, {Network: netip.MustParsePrefix("::1/128")},
}

// ofURL is the host of an address. Localhost is written in the plant file by who
// means this machine.
func ofURL(address string) []access.Host {
	u, err := url.Parse(address)
	if err != nil || u.Hostname() == "" {
		return nil
	}
	h, err := access.ParseHost(u.Hostname())
	if err != nil {
		return nil
	}
	if h.Name == "localhost" {
		return append([]access.Host{h}, loopbacks...)
	}
	return []access.Host{h}
}

// of are the hosts that may be reached for a partner, or for devices.
func (h *Hosts) of(partner string, device bool) []access.Host {
	var all []access.Host
	if h.Common != nil {
		all = slices.Clone(h.Common())
	}
	if partner != "" && h.Partner != nil {
		for _, address := range h.Partner(partner) {
			all = append(all, ofURL(address)...)
		}
	}
	if device && h.Devices != nil {
		for _, address := range h.Devices() {
			all = append(all, ofURL(address)...)
		}
	}
	return all
}

// Likely reports whether an address that a partner names can be on the allow-list.
// A name that is not on it may still lead into a network that is; that is seen
// when it is connected to.
func (h *Hosts) Likely(partner, address string) bool {
	u, err := url.Parse(address)
	if err != nil || u.Scheme != "http" && u.Scheme != "https" {
		return false
	}
	name := strings.ToLower(strings.TrimSuffix(u.Hostname(), "."))
	literal, notLiteral := netip.ParseAddr(name)
	return slices.ContainsFunc(h.of(partner, false), func(a access.Host) bool {
		switch {
		case a.Name != "":
			return a.Name == name
		case notLiteral == nil:
			return a.Network.Contains(literal.Unmap())
		}
		return true
	})
}

// mostClients is how many clients are kept before they are begun anew.
const mostClients = 200

// client gives the HTTP client for a partner, or for devices.
func (h *Hosts) client(partner string, device bool) *http.Client {
	hosts := h.of(partner, device)
	var key strings.Builder
	for _, a := range hosts {
		key.WriteString(a.Name + a.Network.String() + " ")
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	if c := h.clients[key.String()]; c != nil {
		return c
	}
	if len(h.clients) >= mostClients || h.clients == nil {
		for _, c := range h.clients {
			c.CloseIdleConnections()
		}
		h.clients = map[string]*http.Client{}
	}
	timeout := h.Timeout
	if timeout <= 0 {
		timeout = time.Minute
	}
	c := access.Client(hosts, timeout)
	h.clients[key.String()] = c
	return c
}
