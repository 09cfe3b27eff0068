package schemas

import (
	"net/netip"
	"strings"
)

// isURI takes a URI reference as RFC 3986 writes it. As XML Schema allows,
// characters that a URI would have to escape, such as the space, may stand as
// they are.
func isURI(s string) bool {
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case c == '[' || c == ']':
			if !inHost(s, i) {
				return false
			}
		case c == '%':
			if i+2 >= len(s) || !isHexDigit(s[i+1]) || !isHexDigit(s[i+2]) {
				return false
			}
		}
	}
	if strings.Count(s, "#") > 1 {
		return false
	}
	head := s
	if i := strings.IndexAny(s, "/?#"); i >= 0 {
		head = s[:i]
	}
	if colon := strings.IndexByte(head, ':'); colon >= 0 {
		if !isScheme(head[:colon]) {
			return false
		}
		s = s[colon+1:]
	}
	if rest, ok := strings.CutPrefix(s, "//"); ok {
		return isAuthority(rest)
	}
	return true
}

// inHost tells whether a byte stands in the brackets of an IPv6 host.
func inHost(s string, at int) bool {
	_, after, ok := strings.Cut(s, "//")
	if !ok {
		return false
	}
	start := len(s) - len(after)
	end := len(s)
	if i := strings.IndexAny(after, "/?#"); i >= 0 {
		end = start + i
	}
	return at >= start && at < end
}

func isScheme(s string) bool {
	for i := range len(s) {
		c := s[i]
		if !isLetter(c) && (i == 0 || !isDigit(c) && c != '+' && c != '-' && c != '.') {
			return false
		}
	}
	return s != ""
}

// isAuthority checks a host in brackets, and the port behind the host.
func isAuthority(s string) bool {
	if i := strings.IndexAny(s, "/?#"); i >= 0 {
		s = s[:i]
	}
	s = s[strings.LastIndexByte(s, '@')+1:]
	if strings.ContainsAny(s, "[]") {
		host, rest, closed := strings.Cut(s, "]")
		if !closed || !isIPLiteral(host) || strings.ContainsAny(rest, "[]") {
			return false
		}
		s = rest
		if s != "" && s[0] != ':' {
			return false
		}
	}
	_, port, ok := strings.Cut(s, ":")
	if !ok {
		return true
	}
	for i := range len(port) {
		if !isDigit(port[i]) {
			return false
		}
	}
	return true
}

// isIPLiteral takes an opening bracket and an IPv6 address, or an address of a
// later version.
//
// Source: RFC 3986, section 3.2.2.
func isIPLiteral(s string) bool {
	address, ok := strings.CutPrefix(s, "[")
	if !ok {
		return false
	}
	if later, ok := strings.CutPrefix(strings.ToLower(address), "v"); ok {
		version, rest, ok := strings.Cut(later, ".")
		return ok && version != "" && strings.Trim(version, "0123456789abcdef") == "" && rest != ""
	}
	ip, err := netip.ParseAddr(address)
	return err == nil && ip.Is6() && ip.Zone() == ""
}
