package value

// ParseList reads a white space separated list whose items parseOne reads. It serves every plain list of the two
// schemas: ParseList(s, ParseDouble) for DoubleList and FloatList, ParseIntegerOrINF for the IntegerList of JDF,
// ParseInt for that of XJDF, ParseBoolean, ParseNMTOKEN and so on. An empty text is an empty list. The error is that
// of the first item that cannot be read.
func ParseList[T any](s string, parseOne func(string) (T, error)) ([]T, error) {
	var list []T
	for field, rest := nextField(s); field != ""; field, rest = nextField(rest) {
		item, err := parseOne(field)
		if err != nil {
			return nil, err
		}
		list = append(list, item)
	}
	return list, nil
}

// parseTuple fills into with exactly as many numbers as it has room for, or else leaves it zero. typ and want speak in
// the error.
func parseTuple(s string, into []float64, typ, want string) error {
	if fillTuple(s, into) {
		return nil
	}
	clear(into)
	return &SyntaxError{Type: typ, Value: trim(s), Want: want}
}

func fillTuple(s string, into []float64) bool {
	for i := range into {
		var field string
		field, s = nextField(s)
		number, err := ParseDouble(field)
		if err != nil {
			return false
		}
		into[i] = number
	}
	return trim(s) == ""
}

// joinNumbers prints numbers with one blank between.
func joinNumbers(numbers ...float64) string {
	text := make([]byte, 0, 8*len(numbers))
	for i, number := range numbers {
		if i > 0 {
			text = append(text, ' ')
		}
		text = append(text, FormatDouble(number)...)
	}
	return string(text)
}
