package value

import (
	"math"
	"strconv"
)

// The values [ParseIntegerOrINF] gives for the two limits that JDF allows in place of a whole number.
const (
	IntegerINF         = math.MaxInt64
	IntegerNegativeINF = math.MinInt64
)

// ParseBoolean reads xs:boolean: true, false, 1 or 0. JDF 1.x allows only the two words; that is a facet of its schema.
func ParseBoolean(s string) (bool, error) {
	switch v := trim(s); v {
	case "true", "1":
		return true, nil
	case "false", "0":
		return false, nil
	default:
		return false, &SyntaxError{Type: "boolean", Value: v, Want: "true or false"}
	}
}

// IsInteger tells whether s is an xs:integer, of any size.
func IsInteger(s string) bool {
	v := unsigned(trim(s))
	return v != "" && digitsEnd(v) == len(v)
}

// ParseInteger reads xs:integer and xs:long. A whole number that does not fit 64 bits is a *[SyntaxError];
// [IsInteger] accepts it.
func ParseInteger(s string) (int64, error) {
	v := trim(s)
	if !IsInteger(v) {
		return 0, &SyntaxError{Type: "integer", Value: v, Want: "a whole number such as 42"}
	}
	n, err := strconv.ParseInt(v, 10, 64)
	if err != nil {
		return 0, &SyntaxError{Type: "integer", Value: v, Want: "a whole number that fits 64 bits"}
	}
	return n, nil
}

// ParseInt reads xs:int, the 32-bit whole number of XJDF.
func ParseInt(s string) (int32, error) {
	n, err := ParseInteger(s)
	if err != nil {
		return 0, err
	}
	if n < math.MinInt32 || n > math.MaxInt32 {
		return 0, &SyntaxError{Type: "integer", Value: trim(s), Want: "a whole number that fits 32 bits"}
	}
	return int32(n), nil
}

// ParseIntegerOrINF reads the whole number of JDF 1.x, which may also be INF or -INF; these come back as
// [IntegerINF] and [IntegerNegativeINF].
func ParseIntegerOrINF(s string) (int64, error) {
	switch trim(s) {
	case "INF":
		return IntegerINF, nil
	case "-INF":
		return IntegerNegativeINF, nil
	}
	return ParseInteger(s)
}

// IsDouble tells whether s is an xs:double or xs:float: a decimal number with an optional exponent, INF, -INF or NaN.
func IsDouble(s string) bool {
	switch v := trim(s); v {
	case "INF", "-INF", "NaN":
		return true
	default:
		return isDecimal(v)
	}
}

// ParseDouble reads xs:double and xs:float. A number beyond the range of float64 becomes an infinity, as XML Schema's
// rounding rule has it. NaN is read; JDF 1.x forbids it by a facet of its schema.
func ParseDouble(s string) (float64, error) {
	v := trim(s)
	switch v {
	case "INF":
		return math.Inf(1), nil
	case "-INF":
		return math.Inf(-1), nil
	case "NaN":
		return math.NaN(), nil
	}
	if !isDecimal(v) {
		return 0, &SyntaxError{Type: "number", Value: v, Want: "a form such as 12.5, 1E3 or INF"}
	}
	// The only error left is the range error, whose result is already the infinity wanted.
	f, _ := strconv.ParseFloat(v, 64)
	return f, nil
}

// FormatDouble prints the shortest text that reads back as f, without an exponent for the sizes tickets hold.
func FormatDouble(f float64) string {
	switch {
	case math.IsInf(f, 1):
		return "INF"
	case math.IsInf(f, -1):
		return "-INF"
	case math.IsNaN(f):
		return "NaN"
	}
	if size := math.Abs(f); size != 0 && (size < 1e-6 || size >= 1e15) {
		return strconv.FormatFloat(f, 'E', -1, 64)
	}
	return strconv.FormatFloat(f, 'f', -1, 64)
}

func unsigned(s string) string {
	if s != "" && (s[0] == '+' || s[0] == '-') {
		return s[1:]
	}
	return s
}

// isDecimal accepts [+-]? (digits (. digits?)? | . digits) ([eE] [+-]? digits)?, which strconv reads but which leaves
// out its hexadecimal numbers, underscores and spelled infinities.
func isDecimal(s string) bool {
	s = unsigned(s)
	whole := digitsEnd(s)
	s = s[whole:]
	fraction := 0
	if s != "" && s[0] == '.' {
		fraction = digitsEnd(s[1:])
		s = s[1+fraction:]
	}
	if whole+fraction == 0 {
		return false
	}
	if s == "" {
		return true
	}
	if s[0] != 'e' && s[0] != 'E' {
		return false
	}
	s = unsigned(s[1:])
	return s != "" && digitsEnd(s) == len(s)
}
