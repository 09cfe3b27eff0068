package main

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
)

func main() {
	var o options
	dir := os.Getenv("QUOIN_STANDARD")
	if dir == "" {
		dir = filepath.Join("..", "shared", "standard")
	}
	flag.StringVar(&o.dir, "standard", dir, "`folder` with jdf and xjdf of the published standard")
	flag.Uint64Var(&o.seed, "seed", rand.Uint64(), "what the mutants are drawn with; a free one unless given")
	flag.IntVar(&o.mutants, "mutants", 20_000, "how many mutants")
	flag.BoolVar(&o.java, "java", false, "ask the JDK about each difference")
	flag.BoolVar(&o.verbose, "v", false, "print the differences that have a reason too")
	flag.Parse()
	found, err := run(o)
	if err != nil {
		fmt.Fprintf(os.Stderr, "agree: %v\n", err)
		os.Exit(2)
	}
	if err := found.write(os.Stdout, o.verbose); err != nil {
		fmt.Fprintf(os.Stderr, "agree: %v\n", err)
		os.Exit(2)
	}
	if !found.good() {
		os.Exit(1)
	}
}
