package plant

import (
	"slices"
	"strings"
	"time"

	"go.yaml.in/yaml/v3"

	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/yamltext"
)

// maxExpanded is how many values aliases may add to those that are written
// out. The tables are a few levels deep, so without it a file of n values
// could be made to mean n² of them.
const maxExpanded = 10_000

// maxFindings is how many mistakes of one file are reported. A file with more
// is no plant file, or has one mistake many times over.
const maxFindings = 1000

// reader carries what is known while the files of one plant are decoded.
type reader struct {
	files    []*source
	file     *source // that is being parsed
	plant    *Plant
	findings []validate.Finding

	mark   *Mark  // of the entry being read
	prefix string // of keys in a mapping within the entry, such as "perfecting / "

	ids  map[string]jdf.Place // by kind of entry, a slash, and id
	left int                  // values that may still be read; see maxExpanded
}

func newReader() *reader {
	return &reader{plant: &Plant{Zone: time.UTC}, ids: map[string]jdf.Place{}}
}

// source is one file of a plant. The lines of the nodes of all files are
// counted on, so that a line tells the file too.
type source struct {
	text  *yamltext.Text
	first int // how many lines the files before may have
}

// open begins a file.
func (r *reader) open(src *jdf.Source) {
	first := 0
	if r.file != nil {
		first = r.file.first + r.file.text.MaxLine()
	}
	r.file = &source{yamltext.New(src, "the plant file"), first}
	r.files = append(r.files, r.file)
	r.plant.Sources = append(r.plant.Sources, src)
	r.plant.Source = r.plant.Sources[0]
}

// countOn moves the lines of the nodes of the file that is being parsed.
func (r *reader) countOn(n *yaml.Node) {
	n.Line += r.file.first
	for _, c := range n.Content {
		r.countOn(c)
	}
}

// sourceOf finds the file of a node, and its line there.
func (r *reader) sourceOf(n *yaml.Node) (*source, int) {
	for _, f := range slices.Backward(r.files) {
		if n.Line > f.first {
			return f, n.Line - f.first
		}
	}
	return r.files[0], n.Line
}

// place is where a node stands.
func (r *reader) place(n *yaml.Node, path string) jdf.Place {
	f, line := r.sourceOf(n)
	in := *n
	in.Line = line
	return f.text.Place(&in, path)
}

// report adds a finding at a node. The path is a fact of every rule.
func (r *reader) report(rule *validate.Rule, n *yaml.Node, path string, facts ...validate.Fact) {
	facts = append([]validate.Fact{{Name: "path", Value: path}}, facts...)
	r.add(rule.At(r.place(n, path), facts...))
}

// add keeps a finding, and ends the reading after the last that is kept.
func (r *reader) add(f validate.Finding) {
	if len(r.findings) >= maxFindings {
		r.left = 0
		return
	}
	r.findings = append(r.findings, f)
}

// reportTwice adds a finding of something that stands elsewhere already.
func (r *reader) reportTwice(
	rule *validate.Rule, n *yaml.Node, first jdf.Place, path string, facts ...validate.Fact,
) {
	facts = append([]validate.Fact{{Name: "path", Value: path}}, facts...)
	r.add(rule.At(r.place(n, path), facts...).With(first, "the first one"))
}

// enter follows aliases to what they name, and counts. It is false when the
// aliases of the file multiply beyond reason; that is reported once.
func (r *reader) enter(n *yaml.Node, path string) (*yaml.Node, bool) {
	if r.left--; r.left == 0 {
		r.report(fileAlias, n, path, validate.F("problem", "aliases stand for too many values"))
	}
	for n.Kind == yaml.AliasNode {
		n = n.Alias
	}
	return n, r.left > 0
}

// text reads a scalar that is not empty.
func (r *reader) text(n *yaml.Node, path, want string) (*yaml.Node, string, bool) {
	n, ok := r.enter(n, path)
	if !ok {
		return n, "", false
	}
	text := strings.TrimSpace(n.Value)
	if n.Kind != yaml.ScalarNode || text == "" || n.ShortTag() == "!!null" {
		r.report(wrongType, n, path, validate.F("got", yamltext.Describe(n)), validate.F("want", want))
		return n, "", false
	}
	return n, text, true
}

// countNodes counts what is written out, aliases not followed.
func countNodes(n *yaml.Node) int {
	count := 1
	for _, c := range n.Content {
		count += countNodes(c)
	}
	return count
}

// take registers an id among entries of a sort, and reports one given twice.
func (r *reader) take(of, id string, n *yaml.Node, path string) {
	if id == "" {
		return
	}
	if first, taken := r.ids[of+"/"+id]; taken {
		r.reportTwice(duplicateID, n, first, path, validate.F("id", id), validate.F("of", of))
		return
	}
	r.ids[of+"/"+id] = r.place(n, path)
}

// done sorts the findings.
func (r *reader) done() []validate.Finding {
	slices.SortStableFunc(r.findings, validate.Finding.Compare)
	return r.findings
}
