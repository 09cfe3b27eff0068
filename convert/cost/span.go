package cost

import (
	"fmt"
	"math"
	"time"

	"quoin/jdf/value"
)

// Span is a length of time. In JSON it is a duration of XML Schema, such as PT1H30M.
type Span time.Duration

// MarshalText writes the duration as in PT1H30M.
func (s Span) MarshalText() ([]byte, error) {
	return []byte(value.FromTime(time.Duration(s)).String()), nil
}

// UnmarshalText reads what MarshalText writes.
func (s *Span) UnmarshalText(text []byte) error {
	d, err := value.ParseDuration(string(text))
	if err != nil {
		return fmt.Errorf("read length of time: %w", err)
	}
	fixed, ok := d.Fixed()
	if !ok {
		return fmt.Errorf("read length of time: %q has no fixed length; want days, hours, minutes and seconds", text)
	}
	*s = Span(fixed)
	return nil
}

// String writes the duration as in PT1H30M.
func (s Span) String() string {
	text, _ := s.MarshalText()
	return string(text)
}

// Clock writes hours, minutes and seconds as in 1:05:30, rounded to the second.
func (s Span) Clock() string {
	sign := ""
	if s < 0 {
		sign, s = "-", -s
	}
	seconds := int64(time.Duration(s).Round(time.Second) / time.Second)
	return fmt.Sprintf("%s%d:%02d:%02d", sign, seconds/3600, seconds/60%60, seconds%60)
}

// plus adds without running over: times of tickets may be centuries apart.
func (s Span) plus(t Span) Span {
	if t > 0 && s > math.MaxInt64-t {
		return math.MaxInt64
	}
	return s + t
}

// between is the time from one instant to another, never negative.
func between(from, to time.Time) Span { return Span(max(0, to.Sub(from))) }
