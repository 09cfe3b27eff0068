package profile

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"

	"quoin/validate"
	"quoin/validate/yamltext"
)

// clause reads one clause; ok is false when anything in it is wrong.
func (r *reader) clause(n *yaml.Node, path string) (c *clause, ok bool) {
	before := len(r.findings)
	c = &clause{severity: validate.Error, mends: validate.Sender, place: r.file.Place(n, path)}
	values := r.mapping(n, path, clauseKeys)
	if n.Kind != yaml.MappingNode {
		return c, false
	}
	if c.id, ok = r.needed(n, values, path, "clause", "a name such as job-id"); ok {
		path = "clause " + c.id
		c.place = r.file.Place(values["clause"], path)
	}
	if at, ok := r.needed(n, values, path, "at", "a path such as JDF or ResourcePool/Media"); ok {
		c.at = r.path(values["at"], yamltext.Under(path, "at"), at, "")
		if c.at != nil && len(c.at.steps) == 0 || c.at != nil && c.at.attr != "" {
			r.bad(values["at"], yamltext.Under(path, "at"), &fault{end: len(values["at"].Value),
				problem: "this is the path of an attribute; want that of an element"})
		}
	}
	owner := ""
	if c.at != nil {
		owner = c.at.element()
	}
	c.processes = r.processes(values["processes"], yamltext.Under(path, "processes"))
	c.when = r.condition(values["when"], yamltext.Under(path, "when"))
	c.condition = r.condition(values["condition"], yamltext.Under(path, "condition"))
	if v := values["condition"]; v != nil {
		c.conditionAt = r.file.Place(v, yamltext.Under(path, "condition"))
	}
	c.require = r.items(values["require"], yamltext.Under(path, "require"), owner)
	c.forbid = r.items(values["forbid"], yamltext.Under(path, "forbid"), owner)
	c.take = r.items(values["take"], yamltext.Under(path, "take"), owner)
	c.unique = r.attributes(values["unique"], yamltext.Under(path, "unique"), owner)
	c.allow = r.valueTests(values["allow"], yamltext.Under(path, "allow"), owner)
	c.refuse = r.valueTests(values["refuse"], yamltext.Under(path, "refuse"), owner)
	c.contain = r.valueTests(values["contain"], yamltext.Under(path, "contain"), owner)
	c.count = r.countTests(values["count"], yamltext.Under(path, "count"), owner)
	r.wording(n, values, path, c)
	demands := []string{"require", "forbid", "allow", "refuse", "contain", "count", "unique", "condition", "take"}
	if len(r.findings) == before && !slices.ContainsFunc(demands, func(key string) bool { return values[key] != nil }) {
		r.lacks(n, path, "require", "that, or one of "+strings.Join(demands[1:], ", "))
	}
	return c, len(r.findings) == before
}

// wording reads the keys that say how a clause is told.
func (r *reader) wording(n *yaml.Node, values map[string]*yaml.Node, path string, c *clause) {
	if v, ok := values["message"]; ok {
		c.message, _ = r.text(v, yamltext.Under(path, "message"), "a sentence")
	} else if values["condition"] != nil {
		r.lacks(n, path, "message", "a sentence that says what is wrong when the condition does not hold")
	}
	if v, ok := values["do"]; ok {
		c.do, _ = r.text(v, yamltext.Under(path, "do"), "a sentence")
	}
	if v, ok := values["source"]; ok {
		c.source, _ = r.text(v, yamltext.Under(path, "source"), "what the clause rests on")
	}
	if v, ok := values["severity"]; ok {
		const want = "note, warning or error"
		if word, ok := r.text(v, yamltext.Under(path, "severity"), want); ok {
			severity, err := validate.ParseSeverity(word)
			if err != nil {
				r.choice(v, yamltext.Under(path, "severity"), word, []string{"note", "warning", "error"})
			}
			c.severity = severity
		}
	}
	if v, ok := values["mends"]; ok {
		if word, ok := r.text(v, yamltext.Under(path, "mends"), "sender, plant or operator"); ok {
			c.mends = validate.Party(word)
			if !slices.Contains(parties, c.mends) {
				r.choice(v, yamltext.Under(path, "mends"), word, []string{"sender", "plant", "operator"})
			}
		}
	}
}

// path reads a path, or returns nil.
func (r *reader) path(n *yaml.Node, path, source, owner string) *path {
	p, f := parsePath(source, owner, r.names)
	if f != nil {
		r.bad(n, path, shifted(f, n))
		return nil
	}
	return p
}

// shifted moves a fault in trimmed text to its place in the value of a node.
func shifted(f *fault, n *yaml.Node) *fault {
	by := len(n.Value) - len(strings.TrimLeft(n.Value, " \t\r\n"))
	g := *f
	g.start, g.end = f.start+by, f.end+by
	return &g
}

func (r *reader) condition(n *yaml.Node, path string) *condition {
	if n == nil {
		return nil
	}
	source, ok := r.text(n, path, "an expression in XPath 1.0")
	if !ok {
		return nil
	}
	c, f := compile(source, r.names)
	if f != nil {
		r.bad(n, path, shifted(f, n))
		return nil
	}
	return c
}

func (r *reader) item(n *yaml.Node, path, owner string) (item, bool) {
	source, ok := r.text(n, path, "the name of an element, or of an attribute with @ before it")
	if !ok {
		return item{}, false
	}
	p := r.path(n, path, source, owner)
	if p != nil && p.absolute {
		r.bad(n, path, &fault{end: 1, problem: "the path starts from the root; want one that starts from the element at"})
		return item{}, false
	}
	return item{p, r.file.Place(n, path)}, p != nil
}

func (r *reader) items(n *yaml.Node, path, owner string) []item {
	var out []item
	for _, entry := range r.list(n, path, "elements and attributes") {
		if i, ok := r.item(entry, path, owner); ok {
			out = append(out, i)
		}
	}
	return out
}

func (r *reader) attributes(n *yaml.Node, path, owner string) []item {
	var out []item
	for _, entry := range r.list(n, path, "attributes") {
		if i, ok := r.item(entry, path, owner); ok && r.isAttribute(entry, path, i) {
			out = append(out, i)
		}
	}
	return out
}

func (r *reader) isAttribute(n *yaml.Node, path string, i item) bool {
	if i.attr == "" {
		r.bad(n, path, &fault{end: len(n.Value), problem: "this is an element; want an attribute, with @ before its name"})
	}
	return i.attr != ""
}

// valueTests reads a group of attributes, each with a list of values.
func (r *reader) valueTests(n *yaml.Node, path, owner string) []valueTest {
	if n == nil {
		return nil
	}
	var out []valueTest
	for key, value := range r.pairs(n, path, []string{"@Type"}) {
		i, ok := r.item(key, path, owner)
		at := yamltext.Under(path, key.Value)
		values := r.words(value, at, "values")
		if !ok {
			continue
		}
		if !r.isAttribute(key, at, i) {
			continue
		}
		if value.Kind == yaml.SequenceNode && len(value.Content) == 0 {
			r.report(wrongType, value, at, validate.F("got", "an empty list"), validate.F("want", "a list of values"))
		}
		carrier := owner
		if len(i.steps) > 0 {
			carrier = i.element()
		}
		out = append(out, valueTest{i, values, i.attrNS == "" && r.names.list(carrier, i.attr)})
	}
	return out
}

// countTests reads a group of elements, each with how often it may stand.
func (r *reader) countTests(n *yaml.Node, path, owner string) []countTest {
	if n == nil {
		return nil
	}
	const want = "a number, or a range such as 1..3 or 1.."
	var out []countTest
	for key, value := range r.pairs(n, path, []string{"Media"}) {
		i, ok := r.item(key, path, owner)
		at := yamltext.Under(path, key.Value)
		word, given := r.text(value, at, want)
		if !ok || !given {
			continue
		}
		if i.attr != "" {
			r.bad(key, at, &fault{end: len(key.Value), problem: "an attribute stands once at most; want an element"})
			continue
		}
		least, most, ok := parseCount(word)
		if !ok {
			r.report(wrongWord, value, at, validate.F("got", word), validate.F("want", want), validate.F("near", ""))
			continue
		}
		out = append(out, countTest{i, least, most, countWords(least, most)})
	}
	return out
}

// parseCount reads "2", "1..3" or "1.."; most is -1 for no end.
func parseCount(word string) (least, most int, ok bool) {
	from, to, isRange := strings.Cut(word, "..")
	number := func(s string) int {
		if n, err := strconv.ParseUint(s, 10, 31); err == nil {
			return int(n)
		}
		return -1
	}
	least = number(from)
	switch {
	case !isRange:
		most = least
	case to == "":
		return least, -1, least >= 0
	default:
		most = number(to)
	}
	return least, most, least >= 0 && most >= least
}

func countWords(least, most int) string {
	switch {
	case most < 0:
		return fmt.Sprintf("%d or more", least)
	case least == most:
		return strconv.Itoa(least)
	}
	return fmt.Sprintf("%d to %d", least, most)
}
