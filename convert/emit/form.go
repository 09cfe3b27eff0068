package emit

import (
	"fmt"
	"time"
)

// Form is the generation of the standard in which a plan is written.
type Form uint8

// The forms.
const (
	XJDF Form = iota // one XJDF 2.x ticket for every operation
	JDF              // one JDF 1.x tree for the whole plan
)

var forms = [...]string{XJDF: "xjdf", JDF: "jdf"}

// String is the name by which users choose the form: xjdf or jdf.
func (f Form) String() string {
	if int(f) < len(forms) {
		return forms[f]
	}
	return fmt.Sprintf("Form(%d)", uint8(f))
}

// ParseForm reads what String writes. The error lists the forms.
func ParseForm(s string) (Form, error) {
	for i, name := range forms {
		if s == name {
			return Form(i), nil
		}
	}
	return 0, fmt.Errorf("the form of tickets is %q; want xjdf or jdf", s)
}

// Span is when an operation is to run.
type Span struct{ Start, End time.Time }
