package render

import (
	"encoding/json"
	"fmt"
	"io"

	"quoin/convert/cost/account"
)

// JSON writes a statement as the types of package account have it: an object with
// the fields of account.Statement under the names of their tags. Money and
// quantities are strings of exact decimals, as in "12.50"; times are durations of XML
// Schema, as in "PT1H30M"; ratios are numbers, or null where they have no value; lists
// are never null. The error is that of the writer.
func JSON(w io.Writer, s *account.Statement) error {
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	if err := enc.Encode(s); err != nil {
		return fmt.Errorf("write statement as JSON: %w", err)
	}
	return nil
}
