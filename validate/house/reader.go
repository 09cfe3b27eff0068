package house

import (
	"slices"

	"go.yaml.in/yaml/v3"

	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/yamltext"
)

// reader carries what is known while one rules file is decoded.
type reader struct {
	src      *jdf.Source
	file     *yamltext.Text
	known    []string
	findings []validate.Finding
}

func newReader(name, text string, known []string) *reader {
	src := jdf.NewSource(name, text)
	return &reader{src: src, file: yamltext.New(src, "the rules file"), known: known}
}

// parse returns the root node, or nil when the file is empty or can not be
// read; the latter is reported.
func (r *reader) parse() *yaml.Node {
	root, fault := r.file.Parse()
	if fault != nil {
		r.broken(fault)
		return nil
	}
	if yamltext.Null(root) {
		return nil
	}
	return root
}

// broken reports that the file can not be read. An empty one sets nothing,
// which is no mistake.
func (r *reader) broken(f *yamltext.Fault) {
	problem := f.Problem
	switch f.Kind {
	case yamltext.Empty:
		return
	case yamltext.Encoding:
		problem += "; save the file as UTF-8"
	case yamltext.Second:
		problem += "; a rules file is one document"
	}
	r.findings = append(r.findings, fileSyntax.At(f.Place, validate.F("problem", problem)))
}

func (r *reader) report(rule *validate.Rule, n *yaml.Node, path string, facts ...validate.Fact) {
	facts = slices.Insert(facts, 0, validate.F("path", path))
	r.findings = append(r.findings, rule.At(r.file.Place(n, path), facts...))
}

func (r *reader) done() []validate.Finding {
	slices.SortStableFunc(r.findings, validate.Finding.Compare)
	return r.findings
}
