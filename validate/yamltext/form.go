package yamltext

import (
	"strings"

	"go.yaml.in/yaml/v3"
)

// Null reports whether a node is the null of YAML: nothing, ~ or null.
func Null(n *yaml.Node) bool { return n.Kind == yaml.ScalarNode && n.ShortTag() == "!!null" }

// Describe says in words what form a node has, such as "a list".
func Describe(n *yaml.Node) string {
	switch {
	case n.Kind == yaml.MappingNode:
		return "a group of keys"
	case n.Kind == yaml.SequenceNode:
		return "a list"
	case n.Kind == yaml.AliasNode:
		return "an alias"
	case Null(n) || strings.TrimSpace(n.Value) == "":
		return "empty"
	}
	return "a single value"
}

// Under joins the path of a group and a key in it.
func Under(path, key string) string {
	if path == "" {
		return key
	}
	return path + " / " + key
}
