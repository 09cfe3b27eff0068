package access

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"strings"
	"time"
)

// ErrHost says that a host is not on the allow-list.
var ErrHost = errors.New("the host is not on the allow-list")

// Client makes an HTTP client that connects only to hosts of the allow-list. A
// name is looked up once, and it is the address found that is connected to, so
// that a name cannot lead elsewhere between the check and the call. Redirects
// are not followed, and proxies of the environment are not asked.
func Client(hosts []Host, timeout time.Duration) *http.Client {
	dialer := &net.Dialer{Timeout: 10 * time.Second, KeepAlive: 30 * time.Second}
	transport := &http.Transport{
		DialContext: func(ctx context.Context, network, at string) (net.Conn, error) {
			name, port, err := net.SplitHostPort(at)
			if err != nil {
				return nil, err
			}
			found, err := lookUp(ctx, name)
			if err != nil {
				return nil, err
			}
			failed := fmt.Errorf("connect to %s: %w; add it to hosts in the file of partners", name, ErrHost)
			for _, address := range found {
				if !allowed(hosts, strings.ToLower(strings.TrimSuffix(name, ".")), address) {
					continue
				}
				conn, err := dialer.DialContext(ctx, network, net.JoinHostPort(address.String(), port))
				if err == nil {
					return conn, nil
				}
				failed = err
			}
			return nil, failed
		},
		MaxIdleConnsPerHost:   4,
		IdleConnTimeout:       90 * time.Second,
		TLSHandshakeTimeout:   10 * time.Second,
		ResponseHeaderTimeout: timeout,
		ForceAttemptHTTP2:     true,
	}
	return &http.Client{
		Transport: transport, Timeout: timeout,
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
	}
}

func lookUp(ctx context.Context, name string) ([]netip.Addr, error) {
	if address, err := netip.ParseAddr(name); err == nil {
		return []netip.Addr{address}, nil
	}
	return net.DefaultResolver.LookupNetIP(ctx, "ip", name)
}
