package main

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
)

// wanted is the part of the mutants that must agree.
const wanted = 0.999

// agreed is the part of the mutants on which both agree, or differ for a reason.
func (found *outcome) agreed() float64 {
	open := 0
	for _, s := range found.splits {
		if s.what != "" && s.reason == "" {
			open++
		}
	}
	return 1 - float64(open)/float64(max(1, found.mutants))
}

// good tells whether nothing is left to explain.
func (found *outcome) good() bool {
	for _, s := range found.splits {
		if s.reason == "" && s.what == "" || s.refuted() {
			return false
		}
	}
	return found.agreed() >= wanted
}

// refuted tells whether the JDK does not side with the stage where the reason
// says that it does.
func (s split) refuted() bool {
	if s.jdk == nil || s.reason == "" || s.jdk.valid == s.ours.valid {
		return false
	}
	i := slices.IndexFunc(reasons, func(r reason) bool { return r.id == s.reason })
	return reasons[i].jdk
}

// write prints the splits and the figures.
func (found *outcome) write(w io.Writer, verbose bool) error {
	out := bufio.NewWriter(w)
	for _, s := range found.splits {
		if s.reason == "" || verbose || s.refuted() {
			s.write(out)
		}
	}
	count := func(reason string, mutants bool) (n int) {
		for _, s := range found.splits {
			if s.reason == reason && (s.what != "") == mutants {
				n++
			}
		}
		return n
	}
	fmt.Fprintf(out, "%d samples, %d of them also without xsi:type, and %d mutants of seed %d against %s in %s; "+
		"both find %d mutants right\n", found.samples, found.bare, found.mutants, found.seed, found.engine,
		found.took.Round(100*time.Millisecond), found.valid)
	fmt.Fprintf(out, "%8s %8s\n", "samples", "mutants")
	differ := 0
	for _, r := range append(reasons, reason{id: "", why: "No reason known."}) {
		fmt.Fprintf(out, "%8d %8d  %-14s %s\n", count(r.id, false), count(r.id, true), r.id, r.why)
		differ += count(r.id, true)
	}
	fmt.Fprintf(out, "the same verdict on %.3f %% of the mutants; on %.3f %% with those that differ for a reason\n",
		100-100*float64(differ)/float64(max(1, found.mutants)), 100*found.agreed())
	return out.Flush()
}

// write prints one split: what was changed, and what each says.
func (s split) write(out io.Writer) {
	reason, what := s.reason, s.what
	if reason == "" {
		reason = "no reason known"
	}
	if what == "" {
		what = "as published"
	}
	fmt.Fprintf(out, "%s: %s (%s)\n", s.name, what, reason)
	fmt.Fprintf(out, "    quoin   %s\n    libxml2 %s\n", s.ours.brief(), s.theirs.brief())
	if s.jdk != nil {
		fmt.Fprintf(out, "    jdk     %s\n", strings.Join(s.jdk.says, "; "))
	}
}

// brief is the first thing said, or that all is well.
func (v verdict) brief() string {
	switch {
	case v.valid:
		return "valid"
	case len(v.says) == 0:
		return "invalid"
	case len(v.says) == 1:
		return "invalid: " + v.says[0]
	}
	return fmt.Sprintf("invalid: %s; and %d more", v.says[0], len(v.says)-1)
}
