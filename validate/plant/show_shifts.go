package plant

import "fmt"

// manned writes a shift with its name and premium, as in
// "late: Mon - Fri 14:00 to 22:00, 10 % premium".
func (s Shift) manned() string {
	text := s.String()
	if s.Name != "" {
		text = s.Name + ": " + text
	}
	if s.Premium.IsPositive() {
		text += ", " + s.Premium.String() + " % premium"
	}
	return text
}

// crew writes how many people work at a cost centre, and what each is paid.
func (s *sheet) crew(c *CostCentre) string {
	if c.Wage.IsPositive() {
		return fmt.Sprintf("%d at %s/h", c.Crew, s.money(c.Wage))
	}
	return fmt.Sprint(c.Crew)
}
