package pack

import (
	"fmt"
	"path"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Reach says where a URL leads.
type Reach uint8

// Where a URL can lead.
const (
	Inside Reach = iota + 1 // a path in the package, or below the ticket's folder
	ByID                    // a part by its Content-ID (RFC 2392)
	Local                   // a path of the machine that reads it, by the file scheme
	Remote                  // another machine or scheme
)

// Target is what a URL means, taken apart.
type Target struct {
	Reach  Reach
	Scheme string // in lower case; "" for a relative URL
	Host   string // of a file URL
	Path   string // decoded; from the top of the package for Inside, as written for Local
	ID     string // decoded Content-ID for ByID
}

// ReferenceError is what is wrong with a URL.
type ReferenceError struct {
	URL    string
	Got    string // what stands in it
	Escape bool   // it could lead out of the package or folder, rather than being malformed
}

// Error puts it in words.
func (e *ReferenceError) Error() string { return fmt.Sprintf("the URL %q holds %s", e.URL, e.Got) }

// Locate takes a URL apart, as seen from a folder of the package ("" or "." is
// its top), without looking whether there is anything. A relative URL may go
// up, but not out of the package; the check is made after decoding (RFC 3986,
// section 2.1). The error is a *ReferenceError.
func Locate(folder, url string) (Target, error) {
	fail := func(got string, escape bool) (Target, error) {
		return Target{}, &ReferenceError{URL: url, Got: got, Escape: escape}
	}
	if reason := malformed(url); reason != "" {
		return fail(reason, strings.ContainsRune(url, '\\'))
	}
	if hasDrive(url) {
		return fail("a drive letter", true)
	}
	scheme, rest := cutScheme(url)
	switch scheme {
	case "cid":
		id, reason := decode(rest)
		if reason != "" {
			return fail(reason, false)
		}
		return Target{Reach: ByID, Scheme: scheme, ID: strings.Trim(id, "<>")}, nil
	case "file":
		return locateFile(url, rest)
	case "":
	default:
		return Target{Reach: Remote, Scheme: scheme}, nil
	}
	rest, _, _ = strings.Cut(rest, "#")
	rest, _, _ = strings.Cut(rest, "?")
	name, reason := decode(rest)
	switch {
	case reason != "":
		return fail(reason, strings.ContainsAny(name, "\\\x00"))
	case name == "":
		return fail("no path", false)
	case name[0] == '/':
		return fail("an absolute path", true)
	case hasDrive(name):
		return fail("a drive letter", true)
	}
	name = path.Join(folder, name)
	if name == ".." || strings.HasPrefix(name, "../") {
		return fail("a path that leads out (..)", true)
	}
	return Target{Reach: Inside, Path: name}, nil
}

func locateFile(url, rest string) (Target, error) {
	rest, _, _ = strings.Cut(rest, "#")
	t := Target{Reach: Local, Scheme: "file"}
	if after, ok := strings.CutPrefix(rest, "//"); ok {
		host, name, _ := strings.Cut(after, "/")
		rest = "/" + name
		if t.Host = strings.ToLower(host); t.Host == "localhost" {
			t.Host = ""
		}
	}
	name, reason := decode(rest)
	if reason != "" {
		return Target{}, &ReferenceError{URL: url, Got: reason, Escape: strings.ContainsAny(name, "\\\x00")}
	}
	t.Path = name
	return t, nil
}

// malformed says what may not stand in a URL. Letters beyond ASCII may: tickets
// write them as UTF-8.
func malformed(url string) string {
	switch {
	case strings.TrimSpace(url) == "":
		return "nothing"
	case strings.ContainsRune(url, '\\'):
		return "a backslash"
	case strings.ContainsFunc(url, unicode.IsControl):
		return "a control character"
	case strings.ContainsFunc(url, unicode.IsSpace):
		return "a blank"
	}
	return ""
}

func cutScheme(url string) (scheme, rest string) {
	end := strings.IndexByte(url, ':')
	if end <= 0 || !isLetter(url[0]) {
		return "", url
	}
	for _, c := range []byte(url[:end]) {
		if !isLetter(c) && (c < '0' || c > '9') && c != '+' && c != '-' && c != '.' {
			return "", url
		}
	}
	return strings.ToLower(url[:end]), url[end+1:]
}

// decode undoes percent-encoding and says what is wrong with the outcome.
func decode(s string) (decoded, reason string) {
	var out strings.Builder
	for i := 0; i < len(s); i++ {
		if s[i] != '%' {
			out.WriteByte(s[i])
			continue
		}
		if i+2 >= len(s) {
			return "", "a % without two hexadecimal digits"
		}
		high, ok1 := hexDigit(s[i+1])
		low, ok2 := hexDigit(s[i+2])
		if !ok1 || !ok2 {
			return "", "a % without two hexadecimal digits"
		}
		out.WriteByte(high<<4 | low)
		i += 2
	}
	decoded = out.String()
	switch {
	case !utf8.ValidString(decoded):
		reason = "an encoding that is not UTF-8"
	case strings.ContainsRune(decoded, '\\'):
		reason = "a backslash"
	case strings.ContainsFunc(decoded, unicode.IsControl):
		reason = "a control character"
	}
	return decoded, reason
}

func hexDigit(c byte) (byte, bool) {
	switch {
	case '0' <= c && c <= '9':
		return c - '0', true
	case 'a' <= c|0x20 && c|0x20 <= 'f':
		return c | 0x20 - 'a' + 10, true
	}
	return 0, false
}
