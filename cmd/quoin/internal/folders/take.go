package folders

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// Pauses after a file could not be taken.
const (
	firstPause = time.Second
	mostPause  = time.Minute
)

// takeAll takes the files in work, oldest first.
func (w *watcher) takeAll(ctx context.Context, pause *time.Duration) {
	entries, err := os.ReadDir(filepath.Join(w.Folder, Work))
	if err != nil {
		w.Log.Warn("the hot folder can not be looked at", "error", err)
		return
	}
	for _, e := range entries {
		if ctx.Err() != nil {
			return
		}
		if !takes(e.Name()) || !e.Type().IsRegular() {
			continue
		}
		now := w.Clock()
		f, failed := w.failed[e.Name()]
		if failed && now.Before(f.next) {
			*pause = min(*pause, f.next.Sub(now))
			continue
		}
		err := w.take(ctx, e.Name())
		if err == nil {
			delete(w.failed, e.Name())
			continue
		}
		if ctx.Err() != nil {
			return
		}
		f.pause = min(max(2*f.pause, firstPause), mostPause)
		f.next = now.Add(f.pause)
		w.failed[e.Name()] = f
		*pause = min(*pause, f.pause)
		w.Log.Warn("a file of the hot folder is tried again later", "file", e.Name(), "error", err, "in", f.pause)
	}
}

// take takes one file and moves it on.
func (w *watcher) take(ctx context.Context, name string) error {
	path := filepath.Join(w.Folder, Work, name)
	id, original := split(name)
	f := File{ID: id, Name: original, Path: path}
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil // another instance has moved it on
	}
	if err != nil {
		return err
	}
	var v Verdict
	if info.Size() > w.Most {
		v = tooLarge(f, info.Size(), w.Most)
	} else {
		if f.Data, err = os.ReadFile(path); errors.Is(err, fs.ErrNotExist) {
			return nil
		} else if err != nil {
			return err
		}
		if v, err = w.Take(ctx, f); err != nil {
			return err
		}
	}
	return w.moveOn(f, v)
}

func tooLarge(f File, size, most int64) Verdict {
	text := fmt.Sprintf("%s is refused: it has %d bytes, and at most %d are taken\n", f.Name, size, most)
	return Verdict{Refused: true, Text: []byte(text)}
}

// moveOn puts a file where its verdict wants it, with the report beside it first.
func (w *watcher) moveOn(f File, v Verdict) error {
	to := Done
	if v.Refused {
		to = Refused
	}
	name, err := freeName(filepath.Join(w.Folder, to), f)
	if err != nil {
		return err
	}
	target := filepath.Join(w.Folder, to, name)
	if v.Refused {
		for ending, report := range map[string][]byte{".findings.txt": v.Text, ".findings.json": v.JSON} {
			if len(report) == 0 {
				continue
			}
			if err := replace(target+ending, report); err != nil {
				return err
			}
		}
	}
	err = os.Rename(f.Path, target)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err == nil {
		w.Log.Info("file of the hot folder", "file", f.Name, "id", f.ID, "to", to)
	}
	return err
}

// freeName is the name of a file, with its id where another of this name is there.
func freeName(dir string, f File) (string, error) {
	_, err := os.Lstat(filepath.Join(dir, f.Name))
	if errors.Is(err, fs.ErrNotExist) {
		return f.Name, nil
	}
	ext := filepath.Ext(f.Name)
	return strings.TrimSuffix(f.Name, ext) + "-" + f.ID + ext, err
}

// replace writes a file under another name first.
func replace(path string, data []byte) error {
	temp, err := os.CreateTemp(filepath.Dir(path), ".quoin-*.tmp")
	if err != nil {
		return err
	}
	_, err = temp.Write(data)
	err = errors.Join(err, temp.Chmod(0o644), temp.Sync(), temp.Close())
	if err == nil {
		err = os.Rename(temp.Name(), path)
	}
	if err != nil {
		return errors.Join(err, os.Remove(temp.Name()))
	}
	return nil
}
