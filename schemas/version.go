package schemas

import (
	"strconv"
	"strings"
)

// Version is a version of the standard: 1.3 is 0x103. The zero Version says
// that none is known.
type Version uint16

// MakeVersion joins the two numbers of a version.
func MakeVersion(major, minor uint8) Version { return Version(major)<<8 | Version(minor) }

// ParseVersion reads "1.3".
func ParseVersion(s string) (Version, bool) {
	major, minor, ok := strings.Cut(s, ".")
	a, errA := strconv.ParseUint(major, 10, 8)
	b, errB := strconv.ParseUint(minor, 10, 8)
	if !ok || errA != nil || errB != nil {
		return 0, false
	}
	return MakeVersion(uint8(a), uint8(b)), true
}

// String writes "1.3", or "" for the zero Version.
func (v Version) String() string {
	if v == 0 {
		return ""
	}
	return strconv.Itoa(int(v>>8)) + "." + strconv.Itoa(int(v&0xff))
}

// Span is the versions in which something may be used. A zero end is open.
type Span struct{ First, Last Version }

// Open reports whether the span has no end at all.
func (s Span) Open() bool { return s == Span{} }

// Before reports whether the version is earlier than the span.
func (s Span) Before(v Version) bool { return v != 0 && s.First != 0 && v < s.First }

// After reports whether the version is later than the span.
func (s Span) After(v Version) bool { return v != 0 && s.Last != 0 && v > s.Last }

func parseSpan(s string) Span {
	first, last, _ := strings.Cut(s, "-")
	var span Span
	span.First, _ = ParseVersion(first)
	span.Last, _ = ParseVersion(last)
	return span
}
