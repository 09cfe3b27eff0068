package value

// IsHexBinary tells whether s is an xs:hexBinary: an even number of hexadecimal digits, perhaps none.
func IsHexBinary(s string) bool {
	v := trim(s)
	for i := range len(v) {
		if !isHexDigit(v[i]) {
			return false
		}
	}
	return len(v)%2 == 0
}

func isHexDigit(c byte) bool {
	return isDigit(c) || 'a' <= c && c <= 'f' || 'A' <= c && c <= 'F'
}
