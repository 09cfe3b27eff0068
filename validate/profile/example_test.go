package profile_test

import (
	"fmt"
	"strings"

	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/profile"
)

func Example() {
	p, findings := profile.Decode("folding.yaml", []byte(`
profile: saltmarsh-folding
kinds: [JDF]
clauses:
  - clause: catalogue
    at: FoldingParams
    require: ["@FoldCatalog"]
    message: set up by the catalogue
`))
	fmt.Println(len(findings), "findings in the profile")
	doc, _, err := jdf.Read("fold.jdf", strings.NewReader(
		`<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1"><ResourcePool><FoldingParams/></ResourcePool></JDF>`), jdf.Limits{})
	if err != nil {
		panic(err)
	}
	p.Check(doc, nil, func(f validate.Finding) {
		fmt.Println(f.Severity, f.Rule.ID, f.Place.Pos().Column)
		fmt.Println(f.Message())
	})
	// Output:
	// 0 findings in the profile
	// error schema/profile-missing 63
	// FoldingParams has no @FoldCatalog; clause catalogue of profile saltmarsh-folding wants it: set up by the catalogue
}
