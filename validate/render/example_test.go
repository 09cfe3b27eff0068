//go:build !checker

package render_test

import (
	"fmt"
	"os"
	"strings"

	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/render"
)

func ExampleText() {
	doc, _, err := jdf.Read("order.jdf", strings.NewReader(`<JDF JobID="7" Amount="viele"/>`), jdf.Limits{})
	if err != nil {
		fmt.Println(err)
		return
	}
	rule := &validate.Rule{
		ID: "schema/wrong-type", Severity: validate.Error, Mends: validate.Sender,
		Say: "{at} is {value|q}; want {want}",
	}
	amount := doc.Root().Attr("Amount")
	report := validate.NewReport(0)
	report.Files = 1
	report.Add(rule.At(amount.Place(), validate.F("at", "JDF/@Amount"), validate.F("value", amount.Value()),
		validate.F("want", "a number such as 2500")))
	report.Finish()
	if err := render.Text(os.Stdout, report, render.Style{Width: 80}); err != nil {
		fmt.Println(err)
	}
	// Output:
	// order.jdf:1:24: error schema/wrong-type: JDF/@Amount is "viele"; want a number such as 2500
	//    1 | <JDF JobID="7" Amount="viele"/>
	//      |                        ^^^^^
	//     in   /JDF/@Amount
	//     do   for the sender to mend
	//
	// 1 file checked: 1 error, 0 warnings, 0 notes
}
