package plant

import (
	"strconv"
	"strings"
)

// alerts shows what people are told.
func (s *sheet) alerts() {
	a := s.plant.Alerts
	if a == nil {
		return
	}
	s.heading("Alerts")
	var limits []string
	limit := func(on bool, words ...string) {
		if on {
			limits = append(limits, strings.Join(words, " "))
		}
	}
	limit(a.Late > 0, "late by", since(a.Late))
	limit(a.Stop > 0, "standing for", since(a.Stop))
	limit(a.Silent > 0, "silent for", since(a.Silent))
	limit(a.Waste.IsPositive(), "waste", a.Waste.String(), "% over the plan")
	limit(a.Colour != ColourNever, "colour", string(a.Colour))
	limit(a.Refused, "ticket refused")
	limit(a.FreeDisk.IsPositive(), "under", a.FreeDisk.String(), "% of the disk free")
	limit(a.Delivery > 0, "delivery failed", strconv.Itoa(a.Delivery), "times")
	var told []string
	for _, n := range a.Notices {
		told = append(told, strings.Join(append([]string{n.ID}, spoken(n.Webhook, strings.Join(n.Mail, ", "))...), " "))
	}
	s.facts("told", strings.Join(limits, ", "), "closed after", since(a.Settle), "notices", strings.Join(told, "; "))
}
