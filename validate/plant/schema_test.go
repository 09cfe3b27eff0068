package plant

import (
	"bytes"
	"encoding/json"
	"os"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/require"
	"go.yaml.in/yaml/v3"
)

const schemaFile = "../../schemas/plant.schema.json"

func TestSchemaFile(t *testing.T) {
	got, err := JSONSchema()
	require.NoError(t, err)
	golden(t, schemaFile, string(got))
}

// judgeBySchema compiles the schema with a validator of its own, and tells
// whether a plant file keeps it.
func judgeBySchema(t *testing.T) func(text string) error {
	t.Helper()
	text, err := JSONSchema()
	require.NoError(t, err)
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	require.NoError(t, err)
	c := jsonschema.NewCompiler()
	require.NoError(t, c.AddResource("plant.json", doc))
	s, err := c.Compile("plant.json")
	require.NoError(t, err)
	return func(text string) error {
		var root yaml.Node
		if err := yaml.Unmarshal([]byte(text), &root); err != nil {
			return err
		}
		return s.Validate(plainValue(root.Content[0]))
	}
}

// plainValue is what an editor makes of YAML 1.2.
func plainValue(n *yaml.Node) any {
	switch n.Kind {
	case yaml.AliasNode:
		return plainValue(n.Alias)
	case yaml.MappingNode:
		m := map[string]any{}
		for i := 0; i+1 < len(n.Content); i += 2 {
			m[n.Content[i].Value] = plainValue(n.Content[i+1])
		}
		return m
	case yaml.SequenceNode:
		list := []any{}
		for _, c := range n.Content {
			list = append(list, plainValue(c))
		}
		return list
	}
	switch n.ShortTag() {
	case "!!int", "!!float":
		return json.Number(n.Value)
	case "!!null":
		return nil
	case "!!bool":
		if n.Value == "true" || n.Value == "false" {
			return n.Value == "true"
		}
	}
	return n.Value
}

// Source: JSON Schema 2020-12, as an independent validator reads it.
func TestDemoKeepsSchema(t *testing.T) {
	keeps := judgeBySchema(t)
	text, err := os.ReadFile(demo)
	require.NoError(t, err)
	require.NoError(t, keeps(string(text)))
	require.NoError(t, keeps(small(t)))
}

// The schema refuses what it can know to be wrong, and nothing that is right.
func TestSchemaAgainstLoad(t *testing.T) {
	keeps := judgeBySchema(t)
	refused := map[string]bool{}
	for _, m := range mistakes {
		if m.name == "key twice" || m.name == "merge key" {
			continue // an editor does not read these
		}
		if keeps(strings.Replace(small(t), m.old, m.new, 1)) != nil {
			refused[m.name] = true
		}
	}
	for _, name := range []string{
		"mistyped key", "key in capitals", "number as key", "missing key", "plate price of a digital press",
		"coating price without coater", "list for a value", "nothing for a value", "value for a list",
		"value for a group", "list for a table", "unknown kind", "unknown coating", "table open above",
		"step without up to",
	} {
		require.True(t, refused[name], name)
	}
	require.NotContains(t, refused, "unit left out", "units are not for the schema")
	for _, m := range nearMisses {
		text := strings.Replace(small(t), m.old, m.new, 1)
		if strings.Contains(m.new, "gutter") && m.old != "gutter: 6 mm" {
			text = strings.Replace(text, "\ngutter: 6 mm\n", "\n", 1)
		}
		require.NoError(t, keeps(text), m.new)
	}
}
