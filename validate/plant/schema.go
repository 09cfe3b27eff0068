package plant

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
)

// JSONSchema describes plant files for editors, as JSON Schema 2020-12. It is
// made from Keys, so that it knows the keys, which of them are required, and
// the words that some can be. Units, and relations between values, are for Load
// alone: what the schema refuses Load reports too, but not the other way round.
//
// A file of a folder may lack keys that another file of it has; an editor then
// shows as missing what stands elsewhere.
func JSONSchema() ([]byte, error) {
	entries := map[string]*node{}
	var order []string
	for _, k := range Keys() {
		e := entries[k.Entry]
		if e == nil {
			e = &node{Type: "object", Properties: map[string]*node{}, AdditionalProperties: new(bool)}
			entries[k.Entry] = e
			order = append(order, k.Entry)
		}
		e.Properties[k.Name] = k.schema()
		e.require(k)
	}
	root := entries[order[0]]
	root.Schema, root.Title = "https://json-schema.org/draft/2020-12/schema", "plant file"
	root.Definitions = map[string]*node{}
	for _, name := range order[1:] {
		root.Definitions[name] = entries[name]
	}
	var out bytes.Buffer
	encoder := json.NewEncoder(&out)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	if err := encoder.Encode(root); err != nil {
		return nil, fmt.Errorf("write the schema of plant files: %w", err)
	}
	return out.Bytes(), nil
}

// node is the part of JSON Schema that plant files take.
type node struct {
	Schema      string `json:"$schema,omitempty"`
	Title       string `json:"title,omitempty"`
	Description string `json:"description,omitempty"`
	Ref         string `json:"$ref,omitempty"`
	Type        any    `json:"type,omitempty"`
	Enum        []any  `json:"enum,omitempty"`
	Const       string `json:"const,omitempty"`
	AnyOf       []node `json:"anyOf,omitempty"`
	Items       *node  `json:"items,omitempty"`
	Never       *node  `json:"not,omitempty"` // an empty one refuses all values

	Properties           map[string]*node `json:"properties,omitempty"`
	PatternProperties    map[string]*node `json:"patternProperties,omitempty"`
	AdditionalProperties *bool            `json:"additionalProperties,omitempty"`
	Required             []string         `json:"required,omitempty"`

	AllOf       []*rule          `json:"allOf,omitempty"`
	Definitions map[string]*node `json:"$defs,omitempty"`
}

// rule is a condition, and what is required or refused where it holds or not.
type rule struct {
	If   node  `json:"if"`
	Then *node `json:"then,omitempty"`
	Else *node `json:"else,omitempty"`
}

// scalarTypes are what YAML makes of a scalar.
var scalarTypes = []string{"string", "number"}

// schema is of the value of a key.
func (k Key) schema() *node {
	doc := k.Doc + "; " + k.Form
	if k.Only != "" {
		doc += "; for " + k.Only
	}
	one := &node{Type: scalarTypes}
	switch {
	case k.Holds != "":
		one = &node{Ref: "#/$defs/" + strings.ReplaceAll(k.Holds, " ", "%20")}
	case k.Allowed != nil:
		one = &node{Enum: enumeration(k.Allowed)}
	}
	switch {
	case k.List:
		return &node{Description: doc, Type: "array", Items: one}
	case k.Table:
		return &node{Description: doc, AnyOf: []node{*one, {
			Type: "object", Required: []string{above}, AdditionalProperties: new(bool),
			PatternProperties: map[string]*node{"^(" + upTo + ".+|" + above + ")$": one},
		}}}
	}
	one.Description = doc
	return one
}

// enumeration are the words of an enumeration; those that YAML takes for a truth
// value are that.
func enumeration(allowed []string) []any {
	var all []any
	for _, w := range allowed {
		switch w {
		case "true":
			all = append(all, true)
		case "false":
			all = append(all, false)
		default:
			all = append(all, w)
		}
	}
	return all
}

// require says where a key has to be, and where it must not.
func (n *node) require(k Key) {
	if k.By == "" {
		if k.Required {
			n.Required = append(n.Required, k.Name)
		}
		return
	}
	r := n.when(k)
	if k.Required {
		r.Then.Required = append(r.Then.Required, k.Name)
	}
	r.Else.Properties[k.Name] = &node{Never: &node{}}
}

// when finds or makes the rule for the condition of a key.
func (n *node) when(k Key) *rule {
	on := node{Required: []string{k.By}}
	if k.Is != "" {
		on.Properties = map[string]*node{k.By: {Const: k.Is}}
	}
	for _, r := range n.AllOf {
		if r.If.Required[0] == k.By && (k.Is == "" || r.If.Properties[k.By].Const == k.Is) {
			return r
		}
	}
	r := &rule{If: on, Then: &node{}, Else: &node{Properties: map[string]*node{}}}
	n.AllOf = append(n.AllOf, r)
	return r
}
