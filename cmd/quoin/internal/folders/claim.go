package folders

import (
	"crypto/rand"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// passedOver are endings of names of files that are still being written, by common habit.
//
// Common practice, no source.
var passedOver = []string{".tmp", ".part", ".partial", ".crdownload", ".filepart", ".lock", "~"}

func takes(name string) bool {
	if strings.HasPrefix(name, ".") || strings.HasPrefix(name, "~") {
		return false
	}
	for _, end := range passedOver {
		if strings.HasSuffix(strings.ToLower(name), end) {
			return false
		}
	}
	return true
}

// claim moves what is whole from in to work, and reports whether there was any. The
// pause is cut down to when the next file may be whole.
func (w *watcher) claim(pause *time.Duration) bool {
	dir := filepath.Join(w.Folder, In)
	entries, err := os.ReadDir(dir)
	if err != nil {
		w.Log.Warn("the hot folder can not be looked at", "error", err)
		return false
	}
	now, some, here := w.Clock(), false, map[string]look{}
	for _, e := range entries {
		if !takes(e.Name()) || !e.Type().IsRegular() {
			continue
		}
		info, err := e.Info()
		if err != nil {
			continue // taken away meanwhile
		}
		l := look{info.Size(), info.ModTime(), now}
		if before, known := w.seen[e.Name()]; known && before.size == l.size && before.changed.Equal(l.changed) {
			l.since = before.since
		}
		path := filepath.Join(dir, e.Name())
		if wait := w.Settle - now.Sub(l.since); wait > 0 {
			here[e.Name()], *pause = l, min(*pause, wait)
			continue
		}
		if busy(path) {
			here[e.Name()], *pause = l, min(*pause, w.Settle)
			continue
		}
		err = os.Rename(path, filepath.Join(w.Folder, Work, newID(now)+e.Name()))
		switch {
		case err == nil:
			some = true
		case !errors.Is(err, fs.ErrNotExist): // else another instance was quicker
			w.Log.Warn("a file can not be taken out of the hot folder", "file", e.Name(), "error", err)
			here[e.Name()] = l
		}
	}
	w.seen = here
	return some
}

// stamp is how an id begins. It is followed by random letters and a hyphen, and then by
// the name of the file.
const stamp = "20060102T150405.000000-"

// randoms is how many random letters an id has.
const randoms = 8

func newID(now time.Time) string { return now.UTC().Format(stamp) + rand.Text()[:randoms] + "-" }

// split takes the name of a file in work apart. One that somebody else put there is its
// own id.
func split(name string) (id, original string) {
	length := len(stamp) + randoms + 1
	if len(name) > length && name[length-1] == '-' {
		if _, err := time.Parse(stamp, name[:len(stamp)]); err == nil {
			return name[:length-1], name[length:]
		}
	}
	return name, name
}
