package diff

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"
)

// String is the change in a sentence without full stop, such as
// `product "Leaflet": amount changed from 2000 to 2500`.
func (c Change) String() string {
	switch {
	case c.Name == "":
		return fmt.Sprintf("%s %s", c.Where, c.Kind)
	case c.Kind == Added:
		return fmt.Sprintf("%s: %s added, %s", c.Where, c.Name, c.To)
	case c.Kind == Removed:
		return fmt.Sprintf("%s: %s removed, was %s", c.Where, c.Name, c.From)
	}
	return fmt.Sprintf("%s: %s changed from %s to %s", c.Where, c.Name, c.From, c.To)
}

// Text writes changes for people: a heading for each thing, a line for each
// change of it.
func Text(w io.Writer, changes []Change) error {
	var b strings.Builder
	if len(changes) == 0 {
		b.WriteString("no change\n")
	}
	where := ""
	for _, c := range changes {
		if c.Name == "" {
			fmt.Fprintf(&b, "%s: %s\n", c.Where, c.Kind)
			where = c.Where
			continue
		}
		if c.Where != where {
			where = c.Where
			fmt.Fprintf(&b, "%s\n", where)
		}
		switch c.Kind {
		case Added:
			fmt.Fprintf(&b, "  + %-24s %s\n", c.Name, c.To)
		case Removed:
			fmt.Fprintf(&b, "  - %-24s %s\n", c.Name, c.From)
		default:
			fmt.Fprintf(&b, "  ~ %-24s %s → %s\n", c.Name, c.From, c.To)
		}
	}
	if _, err := io.WriteString(w, b.String()); err != nil {
		return fmt.Errorf("write changes: %w", err)
	}
	return nil
}

// place is where a change stands, for programs.
type place struct {
	File   string `json:"file"`
	Line   int    `json:"line"`
	Column int    `json:"column"`
	Path   string `json:"path,omitempty"`
}

// JSON writes changes as one object with the list "changes"; its fields are
// those of Change, with fromPlace and toPlace where they are known.
func JSON(w io.Writer, changes []Change) error {
	type entry struct {
		Change
		FromPlace *place `json:"fromPlace,omitempty"`
		ToPlace   *place `json:"toPlace,omitempty"`
	}
	list := make([]entry, 0, len(changes))
	for _, c := range changes {
		e := entry{Change: c}
		if p := c.FromPlace; p.Known() {
			e.FromPlace = &place{p.File(), p.Pos().Line, p.Pos().Column, p.Path()}
		}
		if p := c.ToPlace; p.Known() {
			e.ToPlace = &place{p.File(), p.Pos().Line, p.Pos().Column, p.Path()}
		}
		list = append(list, e)
	}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(map[string]any{"changes": list}); err != nil {
		return fmt.Errorf("write changes: %w", err)
	}
	return nil
}
