package learn

import (
	"bytes"
	"fmt"
	"strings"
)

// diff is the unified difference of two texts with as many lines as each other.
func diff(path string, old, new []byte) string {
	const around = 3
	a, b := bytes.Split(old, []byte("\n")), bytes.Split(new, []byte("\n"))
	unended := len(a[len(a)-1]) > 0
	if !unended {
		a, b = a[:len(a)-1], b[:len(b)-1]
	}
	var out strings.Builder
	fmt.Fprintf(&out, "--- %s\n+++ %s (proposed)\n", path, path)
	line := func(sign byte, text []byte, last bool) {
		out.WriteByte(sign)
		out.Write(text)
		out.WriteByte('\n')
		if last && unended {
			out.WriteString("\\ No newline at end of file\n")
		}
	}
	changed := func(i int) bool { return !bytes.Equal(a[i], b[i]) }
	for i := 0; i < len(a); i++ {
		if !changed(i) {
			continue
		}
		from, last := max(0, i-around), i
		for k := i + 1; k < len(a) && k <= last+2*around; k++ {
			if changed(k) {
				last = k
			}
		}
		to := min(len(a), last+around+1)
		fmt.Fprintf(&out, "@@ -%d,%d +%d,%d @@\n", from+1, to-from, from+1, to-from)
		for k := from; k < to; {
			if !changed(k) {
				line(' ', a[k], k == len(a)-1)
				k++
				continue
			}
			end := k
			for end < to && changed(end) {
				end++
			}
			for j := k; j < end; j++ {
				line('-', a[j], j == len(a)-1)
			}
			for j := k; j < end; j++ {
				line('+', b[j], j == len(a)-1)
			}
			k = end
		}
		i = to - 1
	}
	return out.String()
}
