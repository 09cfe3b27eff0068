package house

import (
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"go.yaml.in/yaml/v3"

	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/yamltext"
)

// Decode decodes the text of a rules file, which is YAML in UTF-8; name is the
// file name that findings are shown with, and paths in the file start from its
// folder. Known are the ids of all rules. An empty text is a file without rules.
func Decode(name string, text []byte, known []string) (*File, []validate.Finding) {
	r := newReader(name, strings.TrimPrefix(string(text), "\ufeff"), known)
	file := &File{Source: r.src, Severity: map[string]validate.Severity{}}
	root := r.parse()
	if root == nil {
		return file, r.done()
	}
	for key, value := range r.mapping(root, "", "plant", "profiles", "severity", "ignore", "limits") {
		if yamltext.Null(value) {
			continue // a key whose lines are all commented out
		}
		switch key {
		case "plant":
			if path, ok := r.text(value, key, "the path of a plant file"); ok {
				file.Plant = beside(name, path)
			}
		case "profiles":
			file.Profiles = r.profiles(value)
		case "severity":
			r.severities(value, file.Severity)
		case "ignore":
			file.Ignore = r.ignores(value)
		case "limits":
			file.Limits = r.limits(value)
		}
	}
	return file, r.done()
}

// beside makes a path from the folder of another file.
func beside(name, path string) string {
	path = filepath.FromSlash(path)
	if filepath.IsAbs(path) {
		return path
	}
	return filepath.Join(filepath.Dir(name), path)
}

// mapping returns the values of a group by key. What is no group, is no key of
// it or comes twice is reported.
func (r *reader) mapping(n *yaml.Node, path string, keys ...string) map[string]*yaml.Node {
	values := map[string]*yaml.Node{}
	for key, value := range r.pairs(n, path, keys) {
		if !slices.Contains(keys, key.Value) {
			r.report(unknownKey, key, yamltext.Under(path, key.Value),
				validate.F("choices", validate.Choices(keys)), validate.F("near", validate.Suggest(key.Value, keys)))
			continue
		}
		values[key.Value] = value
	}
	return values
}

// pairs walks the keys of a group and their values.
func (r *reader) pairs(n *yaml.Node, path string, keys []string) func(yield func(key, value *yaml.Node) bool) {
	return func(yield func(key, value *yaml.Node) bool) {
		if n.Kind != yaml.MappingNode {
			name := path
			if name == "" {
				name = "the rules file"
			}
			want := "a group of keys"
			if len(keys) > 0 {
				want += " such as " + keys[0]
			}
			r.report(wrongType, n, name, validate.F("got", yamltext.Describe(n)), validate.F("want", want))
			return
		}
		seen := map[string]bool{}
		for i := 0; i+1 < len(n.Content); i += 2 {
			key := n.Content[i]
			switch {
			case key.Kind != yaml.ScalarNode:
				r.report(wrongType, key, yamltext.Under(path, "a key"), validate.F("got", yamltext.Describe(key)), validate.F("want", "a word"))
				continue
			case seen[key.Value]:
				r.report(duplicateKey, key, yamltext.Under(path, key.Value))
				continue
			}
			seen[key.Value] = true
			if !yield(key, n.Content[i+1]) {
				return
			}
		}
	}
}

// text reads a scalar that is not empty.
func (r *reader) text(n *yaml.Node, path, want string) (string, bool) {
	text := strings.TrimSpace(n.Value)
	if n.Kind != yaml.ScalarNode || text == "" || yamltext.Null(n) {
		r.report(wrongType, n, path, validate.F("got", yamltext.Describe(n)), validate.F("want", want))
		return "", false
	}
	return text, true
}

// list returns the entries of a list.
func (r *reader) list(n *yaml.Node, path, of string) []*yaml.Node {
	if n.Kind != yaml.SequenceNode {
		r.report(wrongType, n, path, validate.F("got", yamltext.Describe(n)), validate.F("want", "a list of "+of))
		return nil
	}
	return n.Content
}

func (r *reader) profiles(n *yaml.Node) []string {
	var names []string
	for _, entry := range r.list(n, "profiles", "names") {
		name, ok := r.text(entry, "profiles", "a name")
		switch {
		case !ok:
		case slices.Contains(names, name):
			r.report(repeated, entry, "profiles", validate.F("got", name))
		default:
			names = append(names, name)
		}
	}
	return names
}

func (r *reader) severities(n *yaml.Node, into map[string]validate.Severity) {
	const path = "severity"
	for key, value := range r.pairs(n, path, r.known) {
		at := yamltext.Under(path, key.Value)
		known := r.rule(key, path)
		text, ok := r.text(value, at, "note, warning or error")
		if !ok {
			continue
		}
		severity, err := validate.ParseSeverity(text)
		if err != nil {
			r.report(wrongValue, value, at, validate.F("got", text), validate.F("want", "note, warning or error"))
			continue
		}
		if known {
			into[key.Value] = severity
		}
	}
}

// rule reports whether a node names a rule that a house may weigh.
func (r *reader) rule(n *yaml.Node, path string) bool {
	if !slices.Contains(r.known, n.Value) {
		near := validate.Suggest(n.Value, r.known)
		if near == "" {
			near = "look for it in the list of rules"
		}
		r.report(unknownRule, n, path, validate.F("got", n.Value),
			validate.F("choices", validate.Choices(r.known)), validate.F("near", near))
		return false
	}
	if fixedID(n.Value) {
		r.report(fixedRule, n, path, validate.F("rule", n.Value))
		return false
	}
	return true
}

func (r *reader) ignores(n *yaml.Node) []Ignore {
	var all []Ignore
	for i, entry := range r.list(n, "ignore", "entries with rule, reason and until") {
		one, ok := r.ignore(entry, "ignore "+strconv.Itoa(i+1))
		if !ok {
			continue
		}
		if slices.ContainsFunc(all, func(other Ignore) bool { return other.Rule == one.Rule }) {
			r.findings = append(r.findings, repeated.At(one.Place,
				validate.F("path", one.Place.Path()), validate.F("got", one.Rule)))
			continue
		}
		all = append(all, one)
	}
	return all
}

// forms are the keys of a silence, in the order they are asked for.
var forms = []struct{ key, form string }{
	{"rule", "the id of a rule"}, {"reason", "words that say why"}, {"until", "a date such as 2026-12-31"},
}

func (r *reader) ignore(n *yaml.Node, path string) (Ignore, bool) {
	before := len(r.findings)
	values := r.mapping(n, path, "rule", "reason", "until")
	one := Ignore{Place: r.file.Place(n, path)}
	if n.Kind != yaml.MappingNode {
		return one, false
	}
	for _, f := range forms {
		value, given := values[f.key]
		if !given {
			r.report(missingKey, n, path, validate.F("key", f.key), validate.F("form", f.form))
			continue
		}
		at := yamltext.Under(path, f.key)
		text, ok := r.text(value, at, f.form)
		if !ok {
			continue
		}
		switch f.key {
		case "rule":
			if r.rule(value, at) {
				one.Rule, one.Place = text, r.file.Place(value, at)
			}
		case "reason":
			one.Reason = text
		case "until":
			var err error
			if one.Until, err = time.Parse(time.DateOnly, text); err != nil {
				r.report(wrongValue, value, at, validate.F("got", text), validate.F("want", f.form))
			}
		}
	}
	return one, len(r.findings) == before
}

func (r *reader) limits(n *yaml.Node) jdf.Limits {
	var lim jdf.Limits
	for key, value := range r.mapping(n, "limits", "max bytes", "max depth") {
		at := yamltext.Under("limits", key)
		switch key {
		case "max bytes":
			lim.MaxBytes = r.number(value, at, "a size such as 64 MB, of at most 2 GiB", parseSize)
		case "max depth":
			lim.MaxDepth = int(r.number(value, at, "a whole number from 1 to 100000", parseDepth))
		}
	}
	return lim
}

func (r *reader) number(n *yaml.Node, path, want string, parse func(string) (int64, bool)) int64 {
	text, ok := r.text(n, path, want)
	if !ok {
		return 0
	}
	value, ok := parse(text)
	if !ok {
		r.report(wrongValue, n, path, validate.F("got", text), validate.F("want", want))
	}
	return value
}
