package main

import (
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// imports is the shape of the program: what each package may import beside the
// standard library. Data goes one way, from reading to cost; no arrow runs
// back up. The same table stands in DEVELOPERS.md.
var imports = map[string]string{
	"quoin/jdf":                        "golang.org/x/text",
	"quoin/jdf/value":                  "",
	"quoin/jdf/job":                    "quoin/jdf quoin/jdf/value github.com/shopspring/decimal",
	"quoin/jdf/message":                "quoin/jdf quoin/jdf/value quoin/jdf/job github.com/shopspring/decimal",
	"quoin/jdf/pack":                   "",
	"quoin/schemas":                    "",
	"quoin/schemas/generate":           "quoin/schemas",
	"quoin/validate":                   "quoin/jdf quoin/jdf/job quoin/schemas",
	"quoin/validate/structure":         "quoin/jdf quoin/jdf/value quoin/schemas quoin/validate",
	"quoin/validate/structure/agree":   "quoin/jdf quoin/schemas quoin/validate quoin/validate/structure quoin/validate/xsd",
	"quoin/validate/xsd":               "quoin/jdf quoin/validate",
	"quoin/validate/rules":             "quoin/jdf quoin/jdf/value quoin/jdf/job quoin/jdf/message quoin/schemas quoin/validate github.com/shopspring/decimal",
	"quoin/validate/plant":             "quoin/jdf quoin/jdf/value quoin/jdf/job quoin/validate quoin/validate/yamltext github.com/shopspring/decimal go.yaml.in/yaml/v3",
	"quoin/validate/render":            "quoin/jdf quoin/validate golang.org/x/text github.com/beevik/etree",
	"quoin/validate/yamltext":          "quoin/jdf go.yaml.in/yaml/v3",
	"quoin/validate/house":             "quoin/jdf quoin/validate quoin/validate/yamltext go.yaml.in/yaml/v3",
	"quoin/validate/packages":          "quoin/jdf quoin/jdf/value quoin/jdf/job quoin/jdf/pack quoin/validate github.com/pdfcpu/pdfcpu",
	"quoin/convert":                    "quoin/jdf quoin/jdf/value quoin/jdf/job quoin/jdf/message quoin/schemas quoin/validate github.com/shopspring/decimal github.com/beevik/etree",
	"quoin/convert/diff":               "quoin/jdf quoin/jdf/value quoin/jdf/job github.com/shopspring/decimal",
	"quoin/validate/profile":           "quoin/jdf quoin/jdf/job quoin/schemas quoin/validate quoin/validate/yamltext github.com/antchfx/xpath go.yaml.in/yaml/v3",
	"quoin/convert/plan":               "quoin/jdf quoin/jdf/value quoin/jdf/job quoin/validate quoin/validate/plant github.com/shopspring/decimal",
	"quoin/convert/plan/schedule":      "quoin/jdf quoin/jdf/value quoin/jdf/job quoin/validate quoin/validate/plant quoin/convert/plan github.com/shopspring/decimal github.com/beevik/etree",
	"quoin/convert/emit":               "quoin/jdf quoin/jdf/value quoin/jdf/job quoin/validate/plant quoin/convert/plan github.com/shopspring/decimal github.com/beevik/etree",
	"quoin/convert/cost":               "quoin/jdf quoin/jdf/value quoin/jdf/job quoin/jdf/message quoin/validate quoin/validate/plant github.com/shopspring/decimal",
	"quoin/cmd/quoin/internal/bench":   "quoin/testdata/standard quoin/cmd/quoin/internal/tickets",
	"quoin/cmd/quoin/internal/tickets": "",
	"quoin/testdata/standard":          "",
}

func TestImports(t *testing.T) {
	out, err := exec.Command("go", "list", "-e", "-f", `{{.ImportPath}} {{join .Imports " "}}`, "quoin/...").Output()
	require.NoError(t, err)
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	require.Greater(t, len(lines), 10)
	for _, line := range lines {
		fields := strings.Fields(line)
		name := fields[0]
		if name == "quoin/cmd/quoin" {
			continue // wires all of them
		}
		allowed, known := imports[name]
		require.True(t, known, "%s is not in the import table", name)
		for _, imported := range fields[1:] {
			first, _, _ := strings.Cut(imported, "/")
			if first != "quoin" && !strings.Contains(first, ".") {
				continue
			}
			ok := slices.ContainsFunc(strings.Fields(allowed), func(a string) bool {
				return a == imported || !strings.HasPrefix(a, "quoin") && strings.HasPrefix(imported, a+"/")
			})
			require.True(t, ok, "%s may not import %s", name, imported)
		}
	}
}
