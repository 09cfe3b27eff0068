package profile

import (
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"

	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/yamltext"
)

// The keys of a profile and of a clause.
var (
	profileKeys = []string{
		"profile", "title", "about", "kinds", "versions", "processes", "claims", "namespaces", "include", "except",
		"clauses",
	}
	clauseKeys = []string{
		"clause", "at", "processes", "when", "require", "forbid", "allow", "refuse", "contain", "count", "unique",
		"condition", "take", "message", "do", "severity", "mends", "source",
	}
	kinds = []jdf.Kind{jdf.KindJDF, jdf.KindJMF, jdf.KindXJDF, jdf.KindXJMF}
)

// Decode reads a profile from the text of its file, which is YAML in UTF-8;
// name is the file name that findings are shown with. The Profile holds what
// could be read, and is fit for use when there are no findings.
func Decode(name string, content []byte) (*Profile, []validate.Finding) {
	r := newReader(name, strings.TrimPrefix(string(content), "\ufeff"))
	p := &Profile{From: r.src}
	if root := r.parse(); root != nil {
		r.profile(root, p)
	}
	slices.SortStableFunc(r.findings, validate.Finding.Compare)
	return p, r.findings
}

func (r *reader) profile(root *yaml.Node, p *Profile) {
	values := r.mapping(root, "", profileKeys)
	p.Name, _ = r.needed(root, values, "", "profile", "a name")
	if v, ok := values["title"]; ok {
		p.Title, _ = r.text(v, "title", "a line of text")
	}
	if v, ok := values["about"]; ok {
		p.About, _ = r.text(v, "about", "text")
	}
	if _, ok := values["kinds"]; !ok && !r.meant["kinds"] && root.Kind == yaml.MappingNode {
		r.lacks(root, "", "kinds", "a list of JDF, JMF, XJDF and XJMF")
	}
	p.kinds = r.kinds(values["kinds"])
	r.names = newNames(p.kinds)
	r.namespaces(values["namespaces"])
	p.first, p.last = r.versions(values["versions"])
	p.processes = r.processes(values["processes"], "processes")
	p.claims = r.words(values["claims"], "claims", "words of ICSVersions")
	r.include(values, p)
	if v, ok := values["clauses"]; ok {
		for i, entry := range r.list(v, "clauses", "clauses") {
			c, ok := r.clause(entry, "clause "+strconv.Itoa(i+1))
			if !ok {
				continue
			}
			if slices.ContainsFunc(p.clauses, func(other *clause) bool { return other.id == c.id }) {
				r.findings = append(r.findings, repeated.At(c.place, validate.F("path", "clause"), validate.F("got", c.id)))
				continue
			}
			p.clauses = append(p.clauses, c)
		}
	}
	if len(p.clauses) == 0 && len(r.findings) == 0 {
		r.lacks(root, "", "clauses", "a list of clauses, or include with the name of a profile")
	}
}

// include takes over the clauses of published profiles, but for those excepted.
func (r *reader) include(values map[string]*yaml.Node, p *Profile) {
	seen := map[string]bool{}
	for _, entry := range r.list(values["include"], "include", "names of published profiles") {
		name, ok := r.text(entry, "include", "the name of a published profile")
		if !ok {
			continue
		}
		if !slices.Contains(Names(), name) || r.src.Name == name+extension {
			r.choice(entry, "include", name, Names())
			continue
		}
		if seen[name] {
			r.report(repeated, entry, "include", validate.F("got", name))
			continue
		}
		seen[name] = true
		other, _ := loadPublished(name)
		for _, c := range other.clauses {
			if !slices.ContainsFunc(p.clauses, func(own *clause) bool { return own.id == c.id }) {
				p.clauses = append(p.clauses, c)
			}
		}
	}
	var ids []string
	for _, c := range p.clauses {
		ids = append(ids, c.id)
	}
	for _, entry := range r.list(values["except"], "except", "names of clauses") {
		id, ok := r.text(entry, "except", "the name of a clause of an included profile")
		switch {
		case !ok:
		case len(ids) == 0:
			r.report(wrongWord, entry, "except", validate.F("got", id), validate.F("near", ""),
				validate.F("want", "nothing, since no profile is included"))
		case !slices.Contains(ids, id):
			r.choice(entry, "except", id, ids)
		default:
			p.clauses = slices.DeleteFunc(p.clauses, func(c *clause) bool { return c.id == id })
		}
	}
}

// choice reports a word that is none of a list.
func (r *reader) choice(n *yaml.Node, path, got string, choices []string) {
	r.report(wrongWord, n, path, validate.F("got", got),
		validate.F("want", validate.Choices(choices)), validate.F("near", validate.Suggest(got, choices)))
}

func (r *reader) kinds(n *yaml.Node) []jdf.Kind {
	var names []string
	for _, k := range kinds {
		names = append(names, k.String())
	}
	var out []jdf.Kind
	for _, entry := range r.list(n, "kinds", "JDF, JMF, XJDF and XJMF") {
		word, ok := r.text(entry, "kinds", "JDF, JMF, XJDF or XJMF")
		if !ok {
			continue
		}
		if i := slices.Index(names, word); i >= 0 {
			out = append(out, kinds[i])
			continue
		}
		r.choice(entry, "kinds", word, names)
	}
	return out
}

func (r *reader) namespaces(n *yaml.Node) {
	if n == nil {
		return
	}
	for key, value := range r.pairs(n, "namespaces", nil) {
		at := yamltext.Under("namespaces", key.Value)
		space, ok := r.text(value, at, "a namespace")
		_, taken := r.names.spaces[key.Value]
		switch {
		case !ok:
		case taken:
			r.report(wrongWord, key, at, validate.F("got", key.Value),
				validate.F("want", "a prefix other than jdf, xjdf, xml and xsi, which are fixed"), validate.F("near", ""))
		case nameLength(key.Value) != len(key.Value) || key.Value == "":
			r.report(wrongWord, key, at, validate.F("got", key.Value),
				validate.F("want", "a prefix such as swp"), validate.F("near", ""))
		default:
			r.names.spaces[key.Value] = space
		}
	}
}

// versions reads "1.3", "1.3 - 1.9", "1.3 -" or "- 1.9".
func (r *reader) versions(n *yaml.Node) (first, last jdf.Version) {
	if n == nil {
		return
	}
	const want = "a version such as 1.9, or a range such as 1.3 - 1.9"
	word, ok := r.text(n, "versions", want)
	if !ok {
		return
	}
	from, to, isRange := strings.Cut(word, "-")
	if !isRange {
		to = from
	}
	var errs [2]error
	if from = strings.TrimSpace(from); from != "" {
		first, errs[0] = jdf.ParseVersion(from)
	}
	if to = strings.TrimSpace(to); to != "" {
		last, errs[1] = jdf.ParseVersion(to)
	}
	if errs[0] != nil || errs[1] != nil || from == "" && to == "" || !last.IsZero() && last.Compare(first) < 0 {
		r.report(wrongWord, n, "versions", validate.F("got", word), validate.F("want", want), validate.F("near", ""))
	}
	return first, last
}

// words reads a list of words that are not empty.
func (r *reader) words(n *yaml.Node, path, of string) []string {
	var out []string
	for _, entry := range r.list(n, path, of) {
		if word, ok := r.text(entry, path, of); ok {
			out = append(out, word)
		}
	}
	return out
}

// processes reads names of processes. Those with a prefix are private.
func (r *reader) processes(n *yaml.Node, path string) []string {
	var out []string
	for _, entry := range r.list(n, path, "names of processes") {
		word, ok := r.text(entry, path, "the name of a process")
		if !ok {
			continue
		}
		if !strings.Contains(word, ":") && !r.names.process(word) {
			r.report(wrongWord, entry, path, validate.F("got", word),
				validate.F("want", "a process of the standard"), validate.F("near", validate.Suggest(word, r.names.processes())))
			continue
		}
		out = append(out, word)
	}
	return out
}
