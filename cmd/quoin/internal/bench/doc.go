// Command bench measures the whole program beside xmllint, which holds the same
// files against the published schemas, in one run and turn by turn:
//
//	go run ./cmd/quoin/internal/bench -quoin bin/quoin
//
// Each line of its table is a bar: what is measured, ours, the reference, how
// they compare, the bar, and whether it is reached. Times are the best of
// several, since other programs share the machine; memory is the peak of the
// process. The exit status is 1 when a bar is missed and -strict is given.
package main
