//go:build !checker

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
	"quoin/jdf":                                 "golang.org/x/text",
	"quoin/jdf/value":                           "",
	"quoin/jdf/job":                             "quoin/jdf quoin/jdf/value github.com/shopspring/decimal",
	"quoin/jdf/message":                         "quoin/jdf quoin/jdf/value quoin/jdf/job github.com/shopspring/decimal",
	"quoin/jdf/pack":                            "",
	"quoin/schemas":                             "",
	"quoin/schemas/generate":                    "quoin/schemas",
	"quoin/validate":                            "quoin/jdf quoin/jdf/job quoin/schemas",
	"quoin/validate/structure":                  "quoin/jdf quoin/jdf/value quoin/schemas quoin/validate",
	"quoin/validate/structure/agree":            "quoin/jdf quoin/schemas quoin/validate quoin/validate/structure quoin/validate/xsd",
	"quoin/validate/xsd":                        "quoin/jdf quoin/validate",
	"quoin/validate/rules":                      "quoin/jdf quoin/jdf/value quoin/jdf/job quoin/jdf/message quoin/schemas quoin/validate github.com/shopspring/decimal",
	"quoin/validate/plant":                      "quoin/jdf quoin/jdf/value quoin/jdf/job quoin/validate quoin/validate/yamltext github.com/shopspring/decimal go.yaml.in/yaml/v3",
	"quoin/validate/render":                     "quoin/jdf quoin/validate golang.org/x/text github.com/beevik/etree",
	"quoin/validate/yamltext":                   "quoin/jdf go.yaml.in/yaml/v3",
	"quoin/validate/house":                      "quoin/jdf quoin/validate quoin/validate/yamltext go.yaml.in/yaml/v3",
	"quoin/validate/packages":                   "quoin/jdf quoin/jdf/value quoin/jdf/job quoin/jdf/pack quoin/validate",
	"quoin/validate/packages/pdf":               "quoin/validate/packages github.com/pdfcpu/pdfcpu",
	"quoin/convert":                             "quoin/jdf quoin/jdf/value quoin/jdf/job quoin/jdf/message quoin/schemas quoin/validate github.com/shopspring/decimal github.com/beevik/etree",
	"quoin/convert/diff":                        "quoin/jdf quoin/jdf/value quoin/jdf/job github.com/shopspring/decimal",
	"quoin/validate/profile":                    "quoin/jdf quoin/jdf/job quoin/schemas quoin/validate quoin/validate/yamltext github.com/antchfx/xpath go.yaml.in/yaml/v3",
	"quoin/convert/plan":                        "quoin/jdf quoin/jdf/value quoin/jdf/job quoin/validate quoin/validate/plant github.com/shopspring/decimal",
	"quoin/convert/plan/schedule":               "quoin/jdf quoin/jdf/value quoin/jdf/job quoin/validate quoin/validate/plant quoin/convert/plan github.com/shopspring/decimal github.com/beevik/etree",
	"quoin/convert/emit":                        "quoin/jdf quoin/jdf/value quoin/jdf/job quoin/validate/plant quoin/convert/plan github.com/shopspring/decimal github.com/beevik/etree",
	"quoin/convert/cost":                        "quoin/jdf quoin/jdf/value quoin/jdf/job quoin/jdf/message quoin/validate quoin/validate/plant github.com/shopspring/decimal quoin/convert/plan",
	"quoin/cmd/quoin/internal/bench":            "quoin/testdata/standard quoin/cmd/quoin/internal/tickets",
	"quoin/cmd/quoin/internal/tickets":          "",
	"quoin/cmd/quoin/internal/access":           "quoin/cmd/quoin/internal/rulebook quoin/jdf quoin/validate quoin/validate/yamltext go.yaml.in/yaml/v3 golang.org/x/time",
	"quoin/cmd/quoin/internal/alerts":           "quoin/cmd/quoin/internal/access quoin/cmd/quoin/internal/database quoin/cmd/quoin/internal/ledger quoin/cmd/quoin/internal/service quoin/cmd/quoin/internal/works quoin/convert/cost/colour quoin/validate/plant github.com/shopspring/decimal",
	"quoin/cmd/quoin/internal/api":              "quoin/cmd/quoin/internal/access quoin/cmd/quoin/internal/desk quoin/cmd/quoin/internal/ledger quoin/cmd/quoin/internal/service quoin/cmd/quoin/internal/works quoin/cmd/quoin/internal/works/feed quoin/convert quoin/convert/cost quoin/convert/cost/account quoin/convert/plan quoin/jdf quoin/jdf/job quoin/validate quoin/validate/packages quoin/validate/packages/pdf quoin/validate/profile quoin/validate/render github.com/shopspring/decimal",
	"quoin/cmd/quoin/internal/board":            "quoin/cmd/quoin/internal/access quoin/cmd/quoin/internal/database quoin/cmd/quoin/internal/desk quoin/cmd/quoin/internal/ledger quoin/cmd/quoin/internal/works quoin/cmd/quoin/internal/works/feed quoin/convert/cost quoin/convert/cost/account quoin/convert/plan quoin/jdf quoin/validate quoin/validate/plant quoin/validate/render github.com/shopspring/decimal",
	"quoin/cmd/quoin/internal/compose":          "quoin/cmd/quoin/internal/queue quoin/jdf quoin/jdf/job quoin/jdf/message quoin/jdf/pack quoin/schemas github.com/beevik/etree github.com/shopspring/decimal",
	"quoin/cmd/quoin/internal/compose/judge":    "quoin/jdf quoin/jdf/job quoin/testdata/standard quoin/validate quoin/validate/rules quoin/validate/structure github.com/stretchr/testify",
	"quoin/cmd/quoin/internal/database":         "github.com/jackc/pgx/v5 modernc.org/sqlite",
	"quoin/cmd/quoin/internal/deliver":          "quoin/cmd/quoin/internal/access quoin/cmd/quoin/internal/compose quoin/cmd/quoin/internal/database quoin/cmd/quoin/internal/desk quoin/cmd/quoin/internal/works quoin/cmd/quoin/internal/works/flow quoin/convert quoin/jdf quoin/jdf/message quoin/validate/plant github.com/beevik/etree",
	"quoin/cmd/quoin/internal/desk":             "quoin/cmd/quoin/internal/compose quoin/cmd/quoin/internal/works quoin/cmd/quoin/internal/works/flow quoin/convert/emit quoin/convert/plan quoin/convert/plan/schedule quoin/jdf quoin/jdf/job quoin/jdf/pack quoin/jdf/value quoin/validate quoin/validate/packages quoin/validate/packages/pdf quoin/validate/plant quoin/validate/profile quoin/validate/render quoin/validate/rules quoin/validate/structure github.com/beevik/etree github.com/shopspring/decimal",
	"quoin/cmd/quoin/internal/dialog":           "quoin/cmd/quoin/internal/compose quoin/cmd/quoin/internal/queue quoin/jdf quoin/jdf/job quoin/jdf/message quoin/jdf/pack quoin/schemas quoin/validate quoin/validate/structure",
	"quoin/cmd/quoin/internal/folders":          "github.com/fsnotify/fsnotify",
	"quoin/cmd/quoin/internal/ledger":           "quoin/cmd/quoin/internal/database quoin/cmd/quoin/internal/rulebook quoin/convert/cost quoin/convert/cost/account quoin/convert/cost/colour quoin/jdf quoin/jdf/job quoin/jdf/message quoin/jdf/pack quoin/validate quoin/validate/packages quoin/validate/plant github.com/shopspring/decimal",
	"quoin/cmd/quoin/internal/office":           "quoin/cmd/quoin/internal/access quoin/cmd/quoin/internal/compose quoin/cmd/quoin/internal/database quoin/cmd/quoin/internal/deliver quoin/cmd/quoin/internal/desk quoin/cmd/quoin/internal/dialog quoin/cmd/quoin/internal/ledger quoin/cmd/quoin/internal/queue quoin/cmd/quoin/internal/works quoin/cmd/quoin/internal/works/flow quoin/jdf quoin/jdf/job quoin/jdf/message quoin/jdf/value quoin/validate/plant github.com/shopspring/decimal",
	"quoin/cmd/quoin/internal/postgrestest":     "github.com/jackc/pgx/v5",
	"quoin/cmd/quoin/internal/proof":            "",
	"quoin/cmd/quoin/internal/queue":            "quoin/jdf quoin/jdf/message",
	"quoin/cmd/quoin/internal/rehearsal":        "quoin/convert/plan quoin/jdf/job quoin/validate/plant github.com/shopspring/decimal",
	"quoin/cmd/quoin/internal/rehearsal/floor":  "quoin/cmd/quoin/internal/compose quoin/cmd/quoin/internal/dialog quoin/cmd/quoin/internal/queue quoin/cmd/quoin/internal/rehearsal quoin/cmd/quoin/internal/rehearsal/report quoin/convert/cost quoin/jdf quoin/jdf/job quoin/jdf/message quoin/validate/plant github.com/beevik/etree github.com/shopspring/decimal",
	"quoin/cmd/quoin/internal/rehearsal/month":  "quoin/cmd/quoin/internal/rehearsal quoin/cmd/quoin/internal/rehearsal/orders quoin/cmd/quoin/internal/rehearsal/report quoin/convert quoin/convert/emit quoin/convert/plan quoin/jdf quoin/jdf/job quoin/validate quoin/validate/plant github.com/beevik/etree",
	"quoin/cmd/quoin/internal/rehearsal/orders": "quoin/cmd/quoin/internal/rehearsal quoin/jdf quoin/jdf/value quoin/validate/plant github.com/beevik/etree",
	"quoin/cmd/quoin/internal/rehearsal/report": "quoin/cmd/quoin/internal/rehearsal quoin/jdf quoin/jdf/job quoin/jdf/value quoin/validate/plant github.com/beevik/etree github.com/shopspring/decimal",
	"quoin/cmd/quoin/internal/rulebook":         "quoin/validate",
	"quoin/cmd/quoin/internal/service":          "quoin/cmd/quoin/internal/access quoin/cmd/quoin/internal/database quoin/cmd/quoin/internal/deliver quoin/cmd/quoin/internal/desk quoin/cmd/quoin/internal/dialog quoin/cmd/quoin/internal/folders quoin/cmd/quoin/internal/ledger quoin/cmd/quoin/internal/office quoin/cmd/quoin/internal/queue quoin/cmd/quoin/internal/works quoin/cmd/quoin/internal/works/flow quoin/convert/emit quoin/jdf quoin/jdf/job quoin/jdf/message quoin/validate quoin/validate/plant quoin/validate/render quoin/validate/structure github.com/prometheus/client_golang",
	"quoin/cmd/quoin/internal/works":            "quoin/cmd/quoin/internal/database quoin/cmd/quoin/internal/queue quoin/jdf/message github.com/shopspring/decimal",
	"quoin/cmd/quoin/internal/works/feed":       "quoin/cmd/quoin/internal/works",
	"quoin/cmd/quoin/internal/works/flow":       "quoin/cmd/quoin/internal/works quoin/convert/emit quoin/convert/plan github.com/shopspring/decimal",
	"quoin/convert/cost/account":                "quoin/convert/cost quoin/jdf quoin/jdf/job quoin/validate quoin/validate/plant github.com/shopspring/decimal",
	"quoin/convert/cost/colour":                 "quoin/jdf quoin/jdf/value quoin/validate quoin/validate/plant",
	"quoin/convert/cost/learn":                  "quoin/convert/cost quoin/jdf/job quoin/validate/plant github.com/shopspring/decimal go.yaml.in/yaml/v3",
	"quoin/convert/cost/render":                 "quoin/convert/cost quoin/convert/cost/account quoin/convert/cost/colour quoin/jdf/job github.com/shopspring/decimal github.com/xuri/excelize/v2 golang.org/x/text",
	"quoin/testdata/standard":                   "",
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
