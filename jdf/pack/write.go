package pack

import (
	"bytes"
	"fmt"
	"io"
)

// check tells whether parts can be written so that Open gives them back.
func check(parts []*Part) error {
	names, ids := map[string]bool{}, map[string]bool{}
	for i, part := range parts {
		if part.Name != "" {
			if reason := unsafeName(part.Name); reason != "" {
				return fmt.Errorf("write part %d: the name %q holds %s", i+1, part.Name, reason)
			}
			if names[fold(part.Name)] {
				return fmt.Errorf("write part %d: the name %q is given twice", i+1, part.Name)
			}
			names[fold(part.Name)] = true
		}
		if part.ID != "" {
			if !isContentID(part.ID) {
				return fmt.Errorf("write part %d: %q can not be a Content-ID", i+1, part.ID)
			}
			if ids[part.ID] {
				return fmt.Errorf("write part %d: the Content-ID %q is given twice", i+1, part.ID)
			}
			ids[part.ID] = true
		}
	}
	return nil
}

// copyPart writes the bytes of a part somewhere.
func copyPart(w io.Writer, part *Part) error {
	r, err := part.Open()
	if err != nil {
		return err
	}
	defer r.Close()
	if _, err := io.Copy(w, r); err != nil {
		return fmt.Errorf("write part %q: %w", part.Label(), err)
	}
	return nil
}

// content reads a part as a whole; the writer's parts are tickets and artwork
// of our own making.
func content(part *Part) ([]byte, error) {
	var out bytes.Buffer
	err := copyPart(&out, part)
	return out.Bytes(), err
}
