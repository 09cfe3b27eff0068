package profile

import (
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"

	"quoin/validate"
	"quoin/validate/yamltext"
)

// mapping returns the values of a group by key. What is no group, is no key of
// it or comes twice is reported; a key without value counts as not given. What
// a wrong key may have meant is remembered, and not called missing too.
func (r *reader) mapping(n *yaml.Node, path string, keys []string) map[string]*yaml.Node {
	values := map[string]*yaml.Node{}
	r.meant = map[string]bool{}
	for key, value := range r.pairs(n, path, keys) {
		switch {
		case !slices.Contains(keys, key.Value):
			r.meant[validate.Nearest(key.Value, keys)] = true
			r.report(unknownKey, key, yamltext.Under(path, key.Value),
				validate.F("choices", validate.Choices(keys)), validate.F("near", validate.Suggest(key.Value, keys)))
		case yamltext.Null(value):
			r.meant[key.Value] = true
			r.report(wrongType, key, yamltext.Under(path, key.Value), validate.F("got", "empty"), validate.F("want", "a value"))
		default:
			values[key.Value] = value
		}
	}
	return values
}

// pairs walks the keys of a group and their values.
func (r *reader) pairs(n *yaml.Node, path string, keys []string) func(yield func(key, value *yaml.Node) bool) {
	return func(yield func(key, value *yaml.Node) bool) {
		if n.Kind != yaml.MappingNode {
			want := "a group of keys"
			if len(keys) > 0 {
				want += " such as " + keys[0]
			}
			r.report(wrongType, n, named(path), validate.F("got", yamltext.Describe(n)), validate.F("want", want))
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

func named(path string) string {
	if path == "" {
		return "the profile"
	}
	return path
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

// needed reads the text of a key that must be there.
func (r *reader) needed(n *yaml.Node, values map[string]*yaml.Node, path, key, form string) (string, bool) {
	v, ok := values[key]
	if !ok {
		if n.Kind == yaml.MappingNode && !r.meant[key] {
			r.lacks(n, path, key, form)
		}
		return "", false
	}
	return r.text(v, yamltext.Under(path, key), form)
}

func (r *reader) lacks(n *yaml.Node, path, key, form string) {
	r.report(missingKey, n, named(path), validate.F("key", key), validate.F("form", form))
}

// list returns the entries of a list; none when the key is not given.
func (r *reader) list(n *yaml.Node, path, of string) []*yaml.Node {
	if n == nil {
		return nil
	}
	if n.Kind != yaml.SequenceNode {
		r.report(wrongType, n, path, validate.F("got", yamltext.Describe(n)), validate.F("want", "a list of "+of))
		return nil
	}
	return n.Content
}
