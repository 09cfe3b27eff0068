package value

import "math"

// IsURI tells whether s is an xs:anyURI. XML Schema lets nearly everything pass, since blanks, <, >, ", {, }, |, \, ^,
// ` and all characters beyond ASCII count as escaped on use. What remains must be a URI reference of RFC 3986. So
// these are refused: a % without two hexadecimal digits, a second #, square brackets outside the host and the
// fragment, a colon in the first step of a path that has no scheme, and a port that is not a number. An empty text is
// a reference to the same document, and valid.
//
// Two leniencies and one strictness are taken over from libxml2, so that both give the same verdict: anything may
// stand between the square brackets of a host, square brackets may stand in the fragment, and a port must have digits
// and fit 31 bits.
func IsURI(s string) bool {
	v := trim(s)
	rest, absolute := cutScheme(v)
	switch {
	case len(rest) >= 2 && rest[0] == '/' && rest[1] == '/':
		var ok bool
		if rest, ok = cutAuthority(rest[2:]); !ok || rest != "" && rest[0] != '/' && rest[0] != '?' && rest[0] != '#' {
			return false
		}
	case !absolute:
		// Before the first slash a colon would have made a scheme.
		if end := runEnd(rest, inFirstStep); end < len(rest) && rest[end] == ':' {
			return false
		}
	}
	rest = rest[runEnd(rest, inPath):]
	if rest != "" && rest[0] == '?' {
		rest = rest[1:]
		rest = rest[runEnd(rest, inQuery):]
	}
	if rest != "" && rest[0] == '#' {
		rest = rest[1:]
		rest = rest[runEnd(rest, inFragment):]
	}
	return rest == ""
}

// cutScheme takes a leading scheme with its colon off.
func cutScheme(s string) (rest string, found bool) {
	if s == "" || !isLetter(s[0]) {
		return s, false
	}
	for i := 1; i < len(s); i++ {
		switch c := s[i]; {
		case c == ':':
			return s[i+1:], true
		case !isLetter(c) && !isDigit(c) && c != '+' && c != '-' && c != '.':
			return s, false
		}
	}
	return s, false
}

// cutAuthority takes user, host and port off; s begins after the two slashes.
func cutAuthority(s string) (rest string, ok bool) {
	if end := runEnd(s, inUser); end < len(s) && s[end] == '@' {
		s = s[end+1:]
	}
	if s != "" && s[0] == '[' {
		end := 1
		for end < len(s) && s[end] != ']' {
			end++
		}
		if end == len(s) {
			return s, false
		}
		s = s[end+1:]
	} else {
		s = s[runEnd(s, inHost):]
	}
	if s == "" || s[0] != ':' {
		return s, true
	}
	digits := s[1 : 1+digitsEnd(s[1:])]
	port := int64(0)
	for i := range len(digits) {
		if port = port*10 + int64(digits[i]-'0'); port > math.MaxInt32 {
			return s, false
		}
	}
	return s[1+len(digits):], digits != ""
}

// The parts of a URI reference; each later one allows a few more characters.
const (
	inHost = iota
	inUser
	inFirstStep
	inPath
	inQuery
	inFragment
)

// runEnd gives the length of the run at the start of s that may stand in the given part.
func runEnd(s string, part int) int {
	i := 0
	for i < len(s) {
		if s[i] != '%' {
			if !mayStand(s[i], part) {
				return i
			}
			i++
			continue
		}
		if i+2 >= len(s) || !isHexDigit(s[i+1]) || !isHexDigit(s[i+2]) {
			return i
		}
		i += 3
	}
	return i
}

func mayStand(c byte, part int) bool {
	switch c {
	case ':':
		return part == inUser || part >= inPath
	case '@':
		return part >= inFirstStep
	case '/':
		return part >= inPath
	case '?':
		return part >= inQuery
	case '[', ']':
		return part == inFragment
	case '#', '%':
		return false
	}
	return true
}
