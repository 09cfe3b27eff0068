package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"runtime"
	"strings"
	"sync"

	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/structure"
	"quoin/validate/xsd"
)

// text is a document to be judged.
type text struct {
	gen int
	xml string
}

// verdict is what an engine says of a document.
type verdict struct {
	valid bool
	says  []string           // the errors
	ours  []validate.Finding // of the structure stage: the errors as they are
}

// engine judges documents, many at once.
type engine interface {
	judge(texts []text) ([]verdict, error)
}

// native is the structure stage.
type native struct{}

func (native) judge(texts []text) ([]verdict, error) {
	return each(texts, func(t text) (verdict, error) {
		doc, err := read(t.xml)
		if err != nil {
			return verdict{}, err
		}
		v := verdict{valid: true}
		structure.Check(doc, structure.Options{}, func(f validate.Finding) {
			if f.Severity == validate.Error {
				v.valid = false
				v.ours = append(v.ours, f)
				v.says = append(v.says, f.Rule.ID+": "+f.Message())
			}
		})
		return v, nil
	})
}

func read(xml string) (*jdf.Document, error) {
	doc, faults, err := jdf.Read("ticket", strings.NewReader(xml), jdf.Limits{})
	if err != nil {
		return nil, fmt.Errorf("read mutant: %w", err)
	}
	if len(faults) > 0 {
		return nil, errors.New("read mutant: not well-formed")
	}
	return doc, nil
}

// each asks on all cores, and keeps the order.
func each(texts []text, ask func(text) (verdict, error)) ([]verdict, error) {
	verdicts := make([]verdict, len(texts))
	failures := make([]error, len(texts))
	next := make(chan int)
	var workers sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		workers.Go(func() {
			for i := range next {
				verdicts[i], failures[i] = ask(texts[i])
			}
		})
	}
	for i := range texts {
		next <- i
	}
	close(next)
	workers.Wait()
	return verdicts, errors.Join(failures...)
}

// linked is libxml2 in the process.
type linked struct{ schemas []*xsd.Schema }

func newLinked(dir string) (*linked, error) {
	l := &linked{}
	for _, g := range generations() {
		s, err := xsd.Compile(filepath.Join(dir, g.schema))
		if err != nil {
			return nil, err
		}
		l.schemas = append(l.schemas, s)
	}
	return l, nil
}

func (l *linked) judge(texts []text) ([]verdict, error) {
	return each(texts, func(t text) (verdict, error) {
		doc, err := read(t.xml)
		if err != nil {
			return verdict{}, err
		}
		v := verdict{valid: true}
		err = l.schemas[t.gen].Check(doc, func(f validate.Finding) {
			if f.Severity == validate.Error {
				v.valid = false
				v.says = append(v.says, f.Message())
			}
		})
		return v, err
	})
}
