package floor

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"quoin/cmd/quoin/internal/queue"
	"quoin/jdf"
)

// lookEvery is how often a hot folder is looked at, on the wall.
const lookEvery = 200 * time.Millisecond

// watch takes tickets from the folder "in" below a hot folder, keeps them in
// "taken", or in "refused" with the reason beside them, and returns them to
// "out". A file is taken when it has not changed between two looks.
func (d *device) watch(ctx context.Context, dir string) error {
	for _, name := range []string{"in", "taken", "refused", "out"} {
		if err := os.MkdirAll(filepath.Join(dir, name), 0o755); err != nil {
			return fmt.Errorf("make hot folder of %q: %w", d.channel.Device, err)
		}
	}
	seen := map[string]string{}
	for {
		files, err := os.ReadDir(filepath.Join(dir, "in"))
		if err != nil {
			return fmt.Errorf("look into hot folder of %q: %w", d.channel.Device, err)
		}
		now := map[string]string{}
		for _, f := range files {
			info, err := f.Info()
			if err != nil || !info.Mode().IsRegular() || strings.HasPrefix(f.Name(), ".") {
				continue // it is gone already, or no ticket
			}
			state := fmt.Sprint(info.Size(), info.ModTime())
			if seen[f.Name()] != state {
				now[f.Name()] = state
				continue
			}
			if err := d.takeFile(dir, f.Name()); err != nil {
				d.floor.Log.Warn("ticket is refused", "device", d.channel.Device, "file", f.Name(), "error", err)
			}
		}
		seen = now
		select {
		case <-time.After(lookEvery):
		case <-ctx.Done():
			return nil
		}
	}
}

// takeFile takes one ticket. One that is not taken is moved aside.
func (d *device) takeFile(dir, name string) error {
	from, to := filepath.Join(dir, "in", name), filepath.Join(dir, "taken", name)
	err := d.takeTicket(from, filepath.Join(dir, "out", name))
	if err != nil {
		to = filepath.Join(dir, "refused", name)
		err = errors.Join(err, os.WriteFile(to+".txt", []byte(err.Error()+"\n"), 0o644))
	}
	return errors.Join(err, os.Rename(from, to))
}

func (d *device) takeTicket(path, back_ string) error {
	data, err := os.ReadFile(path)
	if err != nil {
		return fmt.Errorf("read ticket: %w", err)
	}
	doc, faults, err := jdf.Read(filepath.Base(path), bytes.NewReader(data), jdf.Limits{})
	if err != nil {
		return fmt.Errorf("read ticket: %w", err)
	}
	if len(faults) > 0 || !slices.Contains([]jdf.Kind{jdf.KindJDF, jdf.KindXJDF}, doc.Kind) {
		return fmt.Errorf("%q is no JDF or XJDF ticket; check it with quoin validate", filepath.Base(path))
	}
	e := &entry{key: "file\x00" + filepath.Base(path), ticket: data, version: doc.Version, back: back{file: back_}}
	_, err = d.take(e, doc, queue.Submit)
	return err
}
