package house

import (
	"math"
	"strconv"
	"strings"
)

// units are the multiples of a byte.
//
// Source: ISO/IEC 80000-13: k, M and G are powers of 1000, Ki, Mi and Gi of 1024.
var units = map[string]int64{
	"": 1, "B": 1, "kB": 1e3, "MB": 1e6, "GB": 1e9, "KiB": 1 << 10, "MiB": 1 << 20, "GiB": 1 << 30,
}

// parseSize reads a whole number of bytes with or without unit.
func parseSize(s string) (int64, bool) {
	digits := strings.TrimRight(s, " BkKMGi")
	unit, known := units[strings.TrimSpace(s[len(digits):])]
	n, err := strconv.ParseInt(digits, 10, 64)
	if err != nil || !known || n < 1 || n > 2<<30/unit {
		return 0, false
	}
	return min(n*unit, math.MaxInt32), true
}

// maxDepth is far over what any ticket nests.
const maxDepth = 100_000

func parseDepth(s string) (int64, bool) {
	n, err := strconv.ParseInt(s, 10, 64)
	return n, err == nil && n >= 1 && n <= maxDepth
}
