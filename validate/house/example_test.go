package house_test

import (
	"fmt"
	"time"

	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/house"
)

func ExampleApply() {
	unused := &validate.Rule{ID: "ref/unused", Severity: validate.Warning, Mends: validate.Sender, Say: "not used"}
	file, findings := house.Decode("quoin.yaml", []byte(`
ignore:
  - rule: ref/unused
    reason: the stock system writes spare stocks
    until: 2026-12-31
`), []string{unused.ID})
	fmt.Println(len(findings), "findings in the rules file")

	report := validate.NewReport(0)
	report.Add(unused.At(jdf.Place{}))
	house.Apply(report, house.Settings{File: file, Now: time.Date(2026, 6, 1, 0, 0, 0, 0, time.UTC)})
	fmt.Println(report.Count(validate.Warning), "warnings,", report.Silenced, "silenced")
	fmt.Println(report.Findings[0].Silenced.Reason)
	// Output:
	// 0 findings in the rules file
	// 0 warnings, 1 silenced
	// the stock system writes spare stocks (until 2026-12-31)
}
