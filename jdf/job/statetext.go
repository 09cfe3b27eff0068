package job

import "fmt"

// UnmarshalText reads what MarshalText writes.
func (s *State) UnmarshalText(text []byte) error {
	for known := StateUnknown; known <= StateOff; known++ {
		if known.String() == string(text) {
			*s = known
			return nil
		}
	}
	return fmt.Errorf("read state: %q is none; want a word such as run or makeready", text)
}
