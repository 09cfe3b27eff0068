package folders

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"time"

	"github.com/fsnotify/fsnotify"
)

// The folders within a hot folder.
const (
	In      = "in"
	Work    = "work"
	Done    = "done"
	Refused = "refused"
)

// File is one that was found.
type File struct {
	ID   string // the same when it is taken up again, and of no other file
	Name string // as it was put in
	Path string // where it is now
	Data []byte
}

// Verdict says what became of a file.
type Verdict struct {
	Refused bool
	Text    []byte // the report for people, written beside a refused file
	JSON    []byte // the report for programs
}

// Options say what is watched and how. Folder and Take are needed.
type Options struct {
	Folder string

	// Take takes a file. It may be given the same file again, with the same ID, when it
	// returned an error or the process ended; it must have one effect.
	Take func(ctx context.Context, f File) (Verdict, error)

	Settle time.Duration // how long a file has to stay as it is; default 2 seconds
	Poll   time.Duration // how often the folder is looked at; default 5 seconds
	Most   int64         // bytes of a file; default 256 MiB
	Log    *slog.Logger  // default slog.Default
	Clock  func() time.Time

	// Deaf leaves the system's notifications alone and only looks from time to time.
	Deaf bool
}

// Watch watches a hot folder until the context ends. The folders in it are made where
// they are missing; the error says that this could not be done.
func Watch(ctx context.Context, opt Options) error {
	w := &watcher{Options: opt, seen: map[string]look{}, failed: map[string]failure{}}
	w.usual()
	for _, name := range []string{In, Work, Done, Refused} {
		if err := os.MkdirAll(filepath.Join(w.Folder, name), 0o755); err != nil {
			return fmt.Errorf("make hot folder: %w", err)
		}
	}
	events, stop := w.listen()
	defer stop()
	for ctx.Err() == nil {
		pause := w.round(ctx)
		timer := time.NewTimer(pause)
		select {
		case <-ctx.Done():
		case <-timer.C:
		case <-events:
			drain(ctx, events)
		}
		timer.Stop()
	}
	return nil
}

// gather is how long one notification waits for others.
const gather = 50 * time.Millisecond

// drain lets a burst of notifications be one.
func drain(ctx context.Context, events <-chan fsnotify.Event) {
	timer := time.NewTimer(gather)
	defer timer.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-timer.C:
			return
		case <-events:
		}
	}
}

type watcher struct {
	Options
	seen   map[string]look    // files in the folder in, by name
	failed map[string]failure // files in the folder work that could not be taken
}

// look is how a file was when it was last looked at.
type look struct {
	size    int64
	changed time.Time // of the file
	since   time.Time // when it was first seen so
}

type failure struct {
	next  time.Time
	pause time.Duration
}

func (w *watcher) usual() {
	for into, usual := range map[*time.Duration]time.Duration{&w.Settle: 2 * time.Second, &w.Poll: 5 * time.Second} {
		if *into <= 0 {
			*into = usual
		}
	}
	if w.Most <= 0 {
		w.Most = 256 << 20
	}
	if w.Log == nil {
		w.Log = slog.Default()
	}
	if w.Clock == nil {
		w.Clock = time.Now
	}
	w.Log = w.Log.With("folder", w.Folder)
}

// listen begins to listen for notifications. Where there are none, as on network
// shares, the folder is only looked at from time to time.
func (w *watcher) listen() (<-chan fsnotify.Event, func()) {
	if w.Deaf {
		return nil, func() {}
	}
	n, err := fsnotify.NewWatcher()
	if err == nil {
		if err = n.Add(filepath.Join(w.Folder, In)); err == nil {
			go func() { // so that a full queue of errors does not stop the events
				for err := range n.Errors {
					w.Log.Debug("notifications of the hot folder", "error", err)
				}
			}()
			return n.Events, func() { _ = n.Close() }
		}
		err = errors.Join(err, n.Close())
	}
	w.Log.Info("the system does not notify of changes in the hot folder; it is looked at instead", "error", err, "every",
		w.Poll)
	return nil, func() {}
}

// round takes what there is to take, and gives how long to wait for the next.
func (w *watcher) round(ctx context.Context) time.Duration {
	pause := w.Poll
	w.takeAll(ctx, &pause) // what was left in work, and what could not be taken
	if w.claim(&pause) {
		w.takeAll(ctx, &pause)
	}
	return max(pause, 10*time.Millisecond)
}
