package value

// IsPDFPath tells whether s is a path in the operators of PDF as the JDF 1.x schema narrows them: steps of numbers and
// an operator m, l (two numbers), c (six), v, y, re (four) or h (none), exactly one white space character between any
// two words, at least one step. White space at the ends is not trimmed, for this type keeps it.
func IsPDFPath(s string) bool {
	numbers, done := 0, false
	for {
		end := 0
		for end < len(s) && !isSpace(s[end]) {
			end++
		}
		switch word := s[:end]; {
		case isPathNumber(word):
			numbers++
			done = false
		case isPathOperator(word, numbers):
			numbers = 0
			done = true
		default:
			return false
		}
		if end == len(s) {
			return done
		}
		s = s[end+1:]
	}
}

func isPathNumber(s string) bool {
	s = unsigned(s)
	whole := digitsEnd(s)
	if whole == 0 || whole == len(s) {
		return whole > 0
	}
	fraction := s[whole+1:]
	return s[whole] == '.' && fraction != "" && digitsEnd(fraction) == len(fraction)
}

func isPathOperator(s string, numbers int) bool {
	switch s {
	case "m", "l":
		return numbers == 2
	case "c":
		return numbers == 6
	case "v", "y", "re":
		return numbers == 4
	case "h":
		return numbers == 0
	}
	return false
}
