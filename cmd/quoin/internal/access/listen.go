package access

import (
	"fmt"
	"net"
	"net/netip"
)

// Loopback reports whether an address to listen on is reached only from the
// machine itself. A host name is not: where it leads is for others to say.
func Loopback(listen string) bool {
	host, _, err := net.SplitHostPort(listen)
	if err != nil {
		return false
	}
	if host == "localhost" {
		return true
	}
	address, err := netip.ParseAddr(host)
	return err == nil && address.Unmap().IsLoopback()
}

// CheckListen refuses to be reached from elsewhere without knowing who asks,
// or with secrets going over the wire in the clear.
func CheckListen(listen string, s *Settings, tls, plain bool) error {
	if _, _, err := net.SplitHostPort(listen); err != nil {
		return fmt.Errorf("listen on %q: %w; want an address such as 127.0.0.1:8080 or :8080", listen, err)
	}
	if Loopback(listen) {
		return nil
	}
	if s == nil || len(s.Partners) == 0 {
		return fmt.Errorf("listening on %s would let everybody who reaches this machine send tickets and read all jobs; "+
			"name the partners with --partners FILE, or listen on 127.0.0.1", listen)
	}
	if !tls && !plain {
		return fmt.Errorf("listening on %s without TLS would send tokens in the clear; "+
			"give --tls-cert and --tls-key, or --plain-http where a proxy before it does TLS", listen)
	}
	return nil
}
