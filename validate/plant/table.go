package plant

import (
	"fmt"
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"

	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/yamltext"
)

// key is one key that an entry of type T may have: how its value looks, what it
// means, and where it goes.
type key[T any] struct {
	name, doc, form string
	outline         outline
	required        bool
	only            condition[T]
	set             func(r *reader, n *yaml.Node, path string, to *T)
}

// condition says for which entries a key is. The zero condition takes all.
type condition[T any] struct {
	say   string // such as "offset presses"
	by    string // the key that decides it
	is    string // its value, "" when it is enough that it is there
	holds func(*T) bool
}

func (k key[T]) isFor(t *T) bool { return k.only.holds == nil || k.only.holds(t) }

// need makes a required key whose value goes to the field that at names.
func need[T, V any](name string, k kind[V], at func(*T) *V, doc string) key[T] {
	entry := may(name, k, at, doc)
	entry.required = true
	return entry
}

// may makes an optional key.
func may[T, V any](name string, k kind[V], at func(*T) *V, doc string) key[T] {
	set := func(r *reader, n *yaml.Node, path string, to *T) {
		if v, ok := k.read(r, n, path); ok {
			*at(to) = v
		}
	}
	return key[T]{name: name, doc: doc, form: k.form, outline: k.outline, set: set}
}

// when confines keys to some entries. What the condition looks at has to stand
// before them in the table.
func when[T any](c condition[T], keys ...key[T]) []key[T] {
	for i := range keys {
		keys[i].only = c
	}
	return keys
}

// sense is a relation between several keys of an entry that has to hold.
type sense[T any] struct {
	key     string          // that is to blame
	problem func(*T) string // "" when it holds
}

// schema is all that is known of one sort of entry.
type schema[T any] struct {
	name   string // as the page of keys calls it
	keys   []key[T]
	senses []sense[T]
	mark   func(*T) *Mark // nil for a group of keys within an entry
	fresh  func(*T)       // sets what holds where the file does not say; nil for zero values
}

// decode reads a mapping by its schema. Keys are set in the order of the
// table, whatever their order in the file.
func (s schema[T]) decode(r *reader, n *yaml.Node, path string, to *T) bool {
	n, ok := r.enter(n, path)
	if !ok {
		return false
	}
	if n.Kind != yaml.MappingNode {
		r.report(wrongType, n, pathOr(path), validate.F("got", yamltext.Describe(n)),
			validate.F("want", "a group of keys such as "+fmt.Sprintf("%q", s.keys[0].name)))
		return false
	}
	if s.mark != nil {
		mark, prefix := r.mark, r.prefix
		defer func() { r.mark, r.prefix = mark, prefix }()
		r.mark, r.prefix = s.mark(to), ""
		*r.mark = Mark{Entry: r.place(n, path), Keys: map[string]jdf.Place{}}
	}
	if s.fresh != nil {
		s.fresh(to)
	}
	before := len(r.findings)
	values := s.collect(r, n, path)
	wrong := map[string]bool{}
	for _, k := range s.keys {
		count := len(r.findings)
		if !wrong[k.only.by] { // what is wrong there is reported; what follows from it is not
			s.setKey(r, k, values[k.name], n, path, to)
		}
		wrong[k.name] = len(r.findings) > count
	}
	if len(r.findings) == before { // relations of values that were read wrong mean nothing
		s.checkSenses(r, values, n, path, to)
	}
	return true
}

// setKey decodes one key, or reports that it is missing or not for this entry.
func (s schema[T]) setKey(r *reader, k key[T], value, entry *yaml.Node, path string, to *T) {
	switch {
	case value == nil:
		if k.required && k.isFor(to) {
			r.report(missingKey, entry, pathOr(path), validate.F("key", k.name), validate.F("form", k.form))
		}
	case !k.isFor(to):
		r.report(misplacedKey, value, join(path, k.name), validate.F("for", k.only.say))
	default:
		if r.mark != nil {
			r.mark.Keys[r.prefix+k.name] = r.place(value, join(path, k.name))
		}
		k.set(r, value, join(path, k.name), to)
	}
}

func (s schema[T]) checkSenses(r *reader, values map[string]*yaml.Node, n *yaml.Node, path string, to *T) {
	for _, c := range s.senses {
		problem := c.problem(to)
		if problem == "" {
			continue
		}
		at := values[c.key]
		if at == nil {
			at = n
		}
		r.report(outOfSense, at, join(path, c.key), validate.F("problem", problem))
	}
}

// collect gathers the values of a mapping by key, and reports keys that are
// unknown or given twice.
func (s schema[T]) collect(r *reader, n *yaml.Node, path string) map[string]*yaml.Node {
	names := s.names()
	values := map[string]*yaml.Node{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		name, value := n.Content[i], n.Content[i+1]
		known := name.Kind == yaml.ScalarNode && slices.Contains(names, name.Value)
		switch {
		case name.ShortTag() == "!!merge":
			r.report(fileAlias, name, pathOr(path), validate.F("problem", "merge keys are not taken"))
		case !known:
			r.unknown(name, path, names)
		case values[name.Value] != nil:
			r.reportTwice(duplicateKey, name, r.place(values[name.Value], ""), join(path, name.Value))
		default:
			values[name.Value] = value
		}
	}
	return values
}

func (s schema[T]) names() []string {
	var names []string
	for _, k := range s.keys {
		names = append(names, k.name)
	}
	return names
}

// unknown reports a key that the table lacks.
func (r *reader) unknown(name *yaml.Node, path string, allowed []string) {
	got := name.Value
	if name.Kind != yaml.ScalarNode {
		got = yamltext.Describe(name)
	}
	r.report(unknownKey, name, pathOr(path), validate.F("key", clip(got)),
		validate.F("choices", validate.Choices(allowed)), nearFact(got, allowed))
}

// nearFact is the advice that names the nearest allowed word, "" when none is near.
func nearFact(got string, allowed []string) validate.Fact {
	if near := validate.Nearest(got, allowed); near != "" {
		return validate.F("near", fmt.Sprintf("write %q if that is meant", near))
	}
	return validate.F("near", "")
}

// join puts a key behind a path.
func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + " / " + key
}

// pathOr names the file itself where there is no path.
func pathOr(path string) string {
	if path == "" {
		return "the plant file"
	}
	return path
}

// entries reads a list of entries whose ids have to differ from all of a sort;
// an entry whose id is "" has none.
func entries[T any](list, sort string, s schema[T], id func(*T) string) kind[[]*T] {
	holds := outline{list: true, entry: s.name}
	return kind[[]*T]{"a list of " + list, holds, func(r *reader, n *yaml.Node, path string) ([]*T, bool) {
		n, ok := r.enter(n, path)
		if !ok {
			return nil, false
		}
		if n.Kind != yaml.SequenceNode {
			r.report(wrongType, n, path, validate.F("got", yamltext.Describe(n)), validate.F("want", "a list of "+list))
			return nil, false
		}
		var all []*T
		for i, item := range n.Content {
			name, at := peek(item, s.keys[0].name)
			entryPath := fmt.Sprintf("%s[%d]", path, i+1)
			if name != "" {
				entryPath += fmt.Sprintf(" %q", clip(name))
			}
			entry := new(T)
			if !s.decode(r, item, entryPath, entry) {
				continue
			}
			r.take(sort, id(entry), at, join(entryPath, s.keys[0].name))
			all = append(all, entry)
		}
		return all, true
	}}
}

// values turns a list of pointers into one of values.
func values[T any](list kind[[]*T]) kind[[]T] {
	return kind[[]T]{list.form, list.outline, func(r *reader, n *yaml.Node, path string) ([]T, bool) {
		pointers, ok := list.read(r, n, path)
		var all []T
		for _, p := range pointers {
			all = append(all, *p)
		}
		return all, ok
	}}
}

// peek finds the text of a key before the mapping is decoded, for paths.
func peek(n *yaml.Node, key string) (string, *yaml.Node) {
	at := n
	if n.Kind == yaml.AliasNode {
		n = n.Alias
	}
	if n.Kind == yaml.MappingNode {
		for i := 0; i+1 < len(n.Content); i += 2 {
			if n.Content[i].Value == key && n.Content[i+1].Kind == yaml.ScalarNode {
				return strings.TrimSpace(n.Content[i+1].Value), n.Content[i+1]
			}
		}
	}
	return "", at
}

// group reads keys that stand together within an entry, under the key of that name.
func group[T any](name string, s schema[T]) kind[T] {
	form := "a group of keys, see " + s.name
	return kind[T]{form, outline{entry: s.name}, func(r *reader, n *yaml.Node, path string) (T, bool) {
		prefix := r.prefix
		defer func() { r.prefix = prefix }()
		r.prefix += name + " / "
		v := new(T)
		ok := s.decode(r, n, path, v)
		return *v, ok
	}}
}
