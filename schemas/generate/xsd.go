package main

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"
)

const namespaceXSD = "http://www.w3.org/2001/XMLSchema"

// node is an element of an XSD file. Elements of the XSD vocabulary are named
// plainly; others, such as the notes of appinfo, are named with a leading "+".
type node struct {
	name string
	attr map[string]string
	kids []*node
}

// parseXSD reads one schema file.
func parseXSD(data []byte) (*node, error) {
	dec := xml.NewDecoder(bytes.NewReader(data))
	top := &node{}
	stack := []*node{top}
	for {
		tok, err := dec.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, err
		}
		switch t := tok.(type) {
		case xml.StartElement:
			n := &node{name: t.Name.Local, attr: map[string]string{}}
			if t.Name.Space != namespaceXSD {
				n.name = "+" + n.name
			}
			for _, a := range t.Attr {
				key := a.Name.Local
				if a.Name.Space == "xmlns" {
					key = "xmlns:" + key
				}
				n.attr[key] = a.Value
			}
			parent := stack[len(stack)-1]
			parent.kids = append(parent.kids, n)
			stack = append(stack, n)
		case xml.EndElement:
			stack = stack[:len(stack)-1]
		}
	}
	if len(top.kids) != 1 || top.kids[0].name != "schema" {
		return nil, fmt.Errorf("the root is not an XSD schema")
	}
	return top.kids[0], nil
}

// kid is the first child of that name, or nil.
func (n *node) kid(name string) *node {
	for _, k := range n.kids {
		if k.name == name {
			return k
		}
	}
	return nil
}

// kidsNamed lists the children of that name.
func (n *node) kidsNamed(name string) []*node {
	var out []*node
	for _, k := range n.kids {
		if k.name == name {
			out = append(out, k)
		}
	}
	return out
}

// qname turns a prefixed name into the form of the tables: names of XSD itself
// keep the prefix xs, all others are plain.
func (s *schema) qname(prefixes map[string]string, q string) string {
	prefix, local, found := strings.Cut(q, ":")
	if !found {
		prefix, local = "", q
	}
	if prefixes[prefix] == namespaceXSD {
		return "xs:" + local
	}
	return local
}

// prefixesOf reads the namespace declarations of a schema element.
func prefixesOf(root *node) map[string]string {
	out := map[string]string{}
	for key, uri := range root.attr {
		switch {
		case key == "xmlns":
			out[""] = uri
		case strings.HasPrefix(key, "xmlns:"):
			out[strings.TrimPrefix(key, "xmlns:")] = uri
		}
	}
	return out
}
