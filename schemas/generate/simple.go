package main

import (
	"fmt"
	"strconv"
	"strings"

	"quoin/schemas"
)

// simpleType is a simple type, with its facets ready to print.
type simpleType struct {
	name, how string   // how is restricts, list or union
	of        []string // base, item or members
	facets    []string
}

// simpleType reads a simple type; types inside it are named after their path.
func (r *reader) simpleType(name string, n *node) error {
	t := &simpleType{name: name}
	body := only(n, "restriction", "list", "union")
	if body == nil {
		return fmt.Errorf("simple type %s has no content", name)
	}
	refs := body.attr["base"]
	switch body.name {
	case "restriction":
		t.how = "restricts"
	case "list":
		t.how, refs = "list", body.attr["itemType"]
	case "union":
		t.how, refs = "union", body.attr["memberTypes"]
	}
	for ref := range strings.FieldsSeq(refs) {
		t.of = append(t.of, r.qname(ref))
	}
	for i, inline := range body.kidsNamed("simpleType") {
		inner := name + "/" + strconv.Itoa(i+1)
		if err := r.simpleType(inner, inline); err != nil {
			return err
		}
		t.of = append(t.of, inner)
	}
	if err := t.readFacets(body); err != nil {
		return err
	}
	r.simples[name] = t
	return nil
}

func (t *simpleType) readFacets(body *node) error {
	for _, f := range body.kids {
		value := f.attr["value"]
		switch f.name {
		case "enumeration":
			t.facets = append(t.facets, "enum "+value)
		case "pattern":
			if word, ok := anyCaseWord(value); ok {
				t.facets = append(t.facets, "anycase "+word)
				continue
			}
			// The JDF schema escapes the tilde, which is no escape of XSD; the tilde is meant.
			value = strings.ReplaceAll(value, `\~`, "~")
			if err := schemas.CheckPattern(value); err != nil {
				return fmt.Errorf("simple type %s: %w", t.name, err)
			}
			t.facets = append(t.facets, "pattern "+value)
		case "length", "minLength", "maxLength", "minInclusive", "maxInclusive", "whiteSpace":
			t.facets = append(t.facets, f.name+" "+value)
		case "simpleType", "annotation":
		default:
			return fmt.Errorf("simple type %s: facet xs:%s is not supported", t.name, f.name)
		}
	}
	return nil
}

// anyCaseWord recognises a pattern that only spells one word in any mixture of
// case, as in ((R|r)(E|e)(D|d)).
func anyCaseWord(pattern string) (word string, ok bool) {
	body, found := strings.CutPrefix(pattern, "((")
	if !found || !strings.HasSuffix(body, "))") {
		return "", false
	}
	var out strings.Builder
	for part := range strings.SplitSeq(strings.TrimSuffix(body, "))"), ")(") {
		if len(part) != 3 || part[1] != '|' || part[0]|0x20 != part[2]|0x20 || part[0] == part[2] {
			return "", false
		}
		out.WriteByte(part[0] | 0x20)
	}
	return out.String(), true
}
