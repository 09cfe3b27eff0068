package access

import (
	"fmt"
	"net/netip"
	"slices"
	"strings"
)

// Host is one that anything may be sent to: a name, an address, or a network.
type Host struct {
	Name    string       // lower case; "" for a network
	Network netip.Prefix // of one address for an address
}

// ParseHost reads a host name, an address, or a network such as 10.20.0.0/16.
func ParseHost(s string) (Host, error) {
	s = strings.ToLower(strings.TrimSpace(s))
	if network, err := netip.ParsePrefix(s); err == nil {
		return Host{Network: network.Masked()}, nil
	}
	if address, err := netip.ParseAddr(s); err == nil {
		return Host{Network: netip.PrefixFrom(address, address.BitLen())}, nil
	}
	if s == "" || len(s) > 253 || strings.ContainsAny(s, "/:@?#*% ") {
		return Host{}, fmt.Errorf("%q is no host", s)
	}
	return Host{Name: strings.TrimSuffix(s, ".")}, nil
}

// allowed reports whether an address may be connected to for a host. A named
// host may lead to any address of the open network or of a private one; but
// never back to this machine or to the ones beside it that a plain name should
// not reach, unless a network of the list holds them.
func allowed(hosts []Host, name string, address netip.Addr) bool {
	address = address.Unmap()
	if slices.ContainsFunc(hosts, func(h Host) bool { return h.Network.IsValid() && h.Network.Contains(address) }) {
		return true
	}
	named := slices.ContainsFunc(hosts, func(h Host) bool { return h.Name != "" && h.Name == name })
	return named && !address.IsLoopback() && !address.IsLinkLocalUnicast() && !address.IsLinkLocalMulticast() &&
		!address.IsMulticast() && !address.IsUnspecified()
}
