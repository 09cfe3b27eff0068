package main

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
)

func main() {
	s := full
	standard := os.Getenv("QUOIN_STANDARD")
	if standard == "" {
		standard = filepath.Join("..", "shared", "standard")
	}
	flag.StringVar(&s.quoin, "quoin", filepath.Join("bin", "quoin"), "the `program` to measure")
	flag.StringVar(&s.standard, "standard", standard, "`folder` with jdf and xjdf of the published standard")
	flag.IntVar(&s.rounds, "rounds", s.rounds, "how often each is run; the best counts")
	strict := flag.Bool("strict", false, "exit with 1 when a bar is missed")
	flag.Parse()
	bars, err := measure(s)
	if err != nil {
		fmt.Fprintf(os.Stderr, "bench: %v\n", err)
		os.Exit(2)
	}
	write(os.Stdout, bars)
	if *strict && !allReached(bars) {
		os.Exit(1)
	}
}
