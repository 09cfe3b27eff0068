package main

import (
	"fmt"
	"math/rand/v2"
	"os"
	"time"

	"quoin/validate/xsd"
)

// options say what to do.
type options struct {
	dir     string // of the published standard
	seed    uint64
	mutants int
	java    bool
	verbose bool
}

// split is a document on which the stage and libxml2 differ.
type split struct {
	name   string // of the sample
	what   string // was changed, or "" for the sample itself
	reason string // id of the reason, or ""
	text
	ours, theirs verdict
	jdk          *verdict // nil when not asked
}

// outcome is what a run found.
type outcome struct {
	options
	engine  string
	samples int
	bare    int // samples taken a second time without xsi:type
	valid   int // mutants that both find right
	splits  []split
	took    time.Duration
}

// dropTypes is what was changed in the samples that are taken a second time.
const dropTypes = "drop every xsi:type"

// drawn is how many mutants are judged at once.
const drawn = 4000

// run judges the samples and the mutants, and looks for the reasons of splits.
func run(o options) (*outcome, error) {
	start := time.Now()
	scratch, err := os.MkdirTemp("", "agree")
	if err != nil {
		return nil, fmt.Errorf("make folder for mutants: %w", err)
	}
	defer os.RemoveAll(scratch)
	found := &outcome{options: o, engine: "xmllint"}
	var other engine
	if xsd.BuiltIn() {
		found.engine = xsd.Version()
		other, err = newLinked(o.dir)
	} else {
		other, err = newXMLLint(o.dir, scratch)
	}
	if err != nil {
		return nil, err
	}
	if err := found.compare(other); err != nil {
		return nil, err
	}
	if err := explain(found.splits, other); err != nil {
		return nil, err
	}
	if o.java {
		if err := found.settle(scratch); err != nil {
			return nil, err
		}
	}
	found.took = time.Since(start)
	return found, nil
}

// compare judges the samples, and the mutants of those that both find right.
func (found *outcome) compare(other engine) error {
	samples, err := readSamples(found.dir)
	if err != nil {
		return err
	}
	var originals []mutant
	for _, s := range samples {
		if s.bare {
			found.bare++
		} else {
			found.samples++
		}
		m := mutant{sample: s, text: text{s.gen, s.doc.Source.Text}}
		if s.bare {
			m.what = dropTypes
		}
		originals = append(originals, m)
	}
	right, err := found.judge(other, originals)
	if err != nil {
		return err
	}
	var clean []*sample
	for i, ok := range right {
		if ok {
			clean = append(clean, samples[i])
		}
	}
	if len(clean) == 0 {
		return fmt.Errorf("no sample of %q is valid", found.dir)
	}
	r := rand.New(rand.NewPCG(found.seed, 0))
	for left := found.mutants; left > 0; left -= drawn {
		var some []mutant
		for range min(left, drawn) {
			some = append(some, mutate(r, clean))
		}
		right, err := found.judge(other, some)
		if err != nil {
			return err
		}
		for _, ok := range right {
			if ok {
				found.valid++
			}
		}
	}
	return nil
}

// judge asks both, notes where they differ, and tells which both find right.
func (found *outcome) judge(other engine, list []mutant) ([]bool, error) {
	var texts []text
	for _, m := range list {
		texts = append(texts, m.text)
	}
	ours, err := native{}.judge(texts)
	if err != nil {
		return nil, err
	}
	theirs, err := other.judge(texts)
	if err != nil {
		return nil, err
	}
	right := make([]bool, len(list))
	for i, m := range list {
		right[i] = ours[i].valid && theirs[i].valid
		if ours[i].valid != theirs[i].valid {
			found.splits = append(found.splits, split{
				name: m.sample.name, what: m.what, text: m.text, ours: ours[i], theirs: theirs[i],
			})
		}
	}
	return right, nil
}

// settle asks the JDK about each split.
func (found *outcome) settle(scratch string) error {
	jdk, err := newJDK(found.dir, scratch)
	if err != nil {
		return err
	}
	var texts []text
	for _, s := range found.splits {
		texts = append(texts, s.text)
	}
	verdicts, err := jdk.judge(texts)
	if err != nil {
		return err
	}
	for i := range found.splits {
		found.splits[i].jdk = &verdicts[i]
	}
	return nil
}
