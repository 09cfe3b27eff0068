package ledger

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"quoin/convert/cost"
)

// remarks keeps findings, each once. A clock is told of once a day: not again
// where that was done before the window.
func (s *settler) remarks(all []cost.Remark, within func(time.Time) bool) error {
	known := map[string]bool{}
	for _, r := range all {
		if !within(r.At) {
			continue
		}
		if strings.HasPrefix(r.Finding.Rule.ID, "audit/clock-") {
			day := cost.DayNumber(r.At)
			if s.warned[day] {
				continue
			}
			s.warned[day] = true
		}
		n := noteOf(r.Finding)
		body, err := json.Marshal(n)
		if err != nil {
			return fmt.Errorf("write finding: %w", err)
		}
		if known[string(body)] {
			continue
		}
		known[string(body)] = true
		if _, err := s.finding.ExecContext(s.tx.Context(), s.group, r.At.UnixMicro(), n.Rule, body); err != nil {
			return err
		}
	}
	return nil
}

func sortedKeys(set map[string]bool) []string { return slices.Sorted(maps.Keys(set)) }
