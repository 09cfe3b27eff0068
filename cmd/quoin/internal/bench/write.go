package main

import (
	"fmt"
	"io"
	"slices"
	"text/tabwriter"
)

// write prints the table.
func write(w io.Writer, bars []bar) {
	out := tabwriter.NewWriter(w, 0, 0, 3, ' ', 0)
	fmt.Fprintln(out, "what\tquoin\txmllint\tcompared\tbar\treached")
	for _, b := range bars {
		reached := "no"
		if b.reached {
			reached = "yes"
		}
		fmt.Fprintf(out, "%s\t%s\t%s\t%s\t%s\t%s\n", b.what, b.ours, b.reference, b.compared, b.want, reached)
	}
	out.Flush()
}

func allReached(bars []bar) bool {
	return !slices.ContainsFunc(bars, func(b bar) bool { return !b.reached })
}
