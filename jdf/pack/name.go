package pack

import (
	"path"
	"strings"
	"unicode"
	"unicode/utf8"
)

const maxName = 1024 // bytes of a name in a package

// unsafeName says why a name may not stand in a package, or "". A safe name is
// a relative path with slashes that is its own shortest form, so that no two
// names mean one file and none leads out.
func unsafeName(name string) string {
	switch {
	case name == "":
		return "an empty name"
	case len(name) > maxName:
		return "a name of more than 1024 bytes"
	case !utf8.ValidString(name):
		return "a name that is not UTF-8"
	case strings.ContainsRune(name, '\\'):
		return "a backslash"
	case strings.ContainsFunc(name, unicode.IsControl):
		return "a control character"
	case name[0] == '/':
		return "an absolute path"
	case hasDrive(name):
		return "a drive letter"
	}
	for step := range strings.SplitSeq(name, "/") {
		if step == ".." {
			return "a step upwards (..)"
		}
	}
	if path.Clean(name) != name {
		return "an empty step or one of a single dot"
	}
	return ""
}

func hasDrive(name string) bool {
	return len(name) >= 2 && name[1] == ':' && isLetter(name[0])
}

func isLetter(c byte) bool { return 'a' <= c|0x20 && c|0x20 <= 'z' }

// fold brings names that differ in case alone to one form, for file systems
// that do not tell them apart.
func fold(name string) string {
	return strings.Map(func(r rune) rune {
		least := r
		for f := unicode.SimpleFold(r); f != r; f = unicode.SimpleFold(f) {
			least = min(least, f)
		}
		return least
	}, name)
}
