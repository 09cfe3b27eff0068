package value

// isSpace knows the four white space characters of XML; Unicode's other blanks are ordinary text.
func isSpace(c byte) bool {
	return c == ' ' || c == '\t' || c == '\n' || c == '\r'
}

// trim takes XML white space off both ends.
func trim(s string) string {
	for s != "" && isSpace(s[0]) {
		s = s[1:]
	}
	for s != "" && isSpace(s[len(s)-1]) {
		s = s[:len(s)-1]
	}
	return s
}

// nextField splits off the first item of a white space separated list; field is empty at the end of the list.
func nextField(s string) (field, rest string) {
	s = skipSpace(s)
	end := 0
	for end < len(s) && !isSpace(s[end]) {
		end++
	}
	return s[:end], s[end:]
}

func skipSpace(s string) string {
	for s != "" && isSpace(s[0]) {
		s = s[1:]
	}
	return s
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

// digitsEnd gives the length of the run of ASCII digits at the start of s.
func digitsEnd(s string) int {
	end := 0
	for end < len(s) && isDigit(s[end]) {
		end++
	}
	return end
}
