package pack

import (
	"archive/zip"
	"compress/flate"
	"fmt"
	"io"
	"io/fs"
	"time"
)

// zipTime is the time of all entries: the first that a ZIP can tell. With it
// the same parts give the same bytes.
var zipTime = time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)

// storeRatio is the packing ratio from which a part is stored as it is, far
// enough below the default Limits.MaxRatio for any reader to take the package.
const storeRatio = 100

// WriteZIP writes a ZIP package of the parts in the order given; each needs a
// name. The same parts give the same bytes.
func WriteZIP(w io.Writer, parts []*Part) error {
	if err := check(parts); err != nil {
		return err
	}
	z := zip.NewWriter(w)
	for i, part := range parts {
		if part.Name == "" {
			return fmt.Errorf("write part %d: a part of a ZIP needs a name", i+1)
		}
		method, err := zipMethod(part)
		if err != nil {
			return err
		}
		h := &zip.FileHeader{Name: part.Name, Method: method, Modified: zipTime}
		h.SetMode(fs.FileMode(0o644))
		entry, err := z.CreateHeader(h)
		if err != nil {
			return fmt.Errorf("write part %q: %w", part.Name, err)
		}
		if err := copyPart(entry, part); err != nil {
			return err
		}
	}
	if err := z.Close(); err != nil {
		return fmt.Errorf("write package: %w", err)
	}
	return nil
}

// zipMethod deflates, but for parts that would look like a bomb to a reader.
func zipMethod(part *Part) (uint16, error) {
	var packed, whole counter
	f, err := flate.NewWriter(&packed, flate.BestSpeed)
	if err != nil {
		return 0, fmt.Errorf("write part %q: %w", part.Name, err)
	}
	if err := copyPart(io.MultiWriter(f, &whole), part); err != nil {
		return 0, err
	}
	if err := f.Close(); err != nil {
		return 0, fmt.Errorf("write part %q: %w", part.Name, err)
	}
	if whole > ratioFloor && whole/max(packed, 1) > storeRatio || packed >= whole {
		return zip.Store, nil
	}
	return zip.Deflate, nil
}

// counter counts bytes.
type counter int64

func (c *counter) Write(p []byte) (int, error) {
	*c += counter(len(p))
	return len(p), nil
}
