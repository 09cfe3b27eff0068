package value

// IsLanguage tells whether s is an xs:language: one to eight letters, then any number of parts of one to eight
// letters or digits, each after a hyphen.
//
// Source: W3C XML Schema Part 2, Second Edition, 3.3.3.
func IsLanguage(s string) bool {
	v := trim(s)
	length := 0
	primary := true
	for i := range len(v) {
		c := v[i]
		switch {
		case c == '-':
			if length == 0 {
				return false
			}
			length, primary = 0, false
			continue
		case isLetter(c), isDigit(c) && !primary:
			length++
		default:
			return false
		}
		if length > 8 {
			return false
		}
	}
	return length > 0
}

// IsLanguages tells whether s is a list of languages. An empty list is one, as for every xs:list without a length.
func IsLanguages(s string) bool { return trim(s) == "" || everyField(s, IsLanguage) }

func isLetter(c byte) bool { return 'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z' }
