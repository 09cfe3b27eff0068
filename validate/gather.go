package validate

import (
	"context"
	"errors"
	"runtime"
	"sync"
	"sync/atomic"
)

// Gather checks many files on all cores and merges their reports. The result
// is the same whatever the number of cores. Files that could not be read are
// told in the error; the report holds the others. Done is called with the
// number of files that are finished, from several goroutines at once.
func Gather(
	ctx context.Context, paths []string, check func(path string) (*Report, error), done func(int),
) (*Report, error) {
	reports := make([]*Report, len(paths))
	failures := make([]error, len(paths), len(paths)+1)
	var taken, finished atomic.Int64
	var workers sync.WaitGroup
	work := func() {
		for ctx.Err() == nil {
			i := int(taken.Add(1)) - 1
			if i >= len(paths) {
				return
			}
			reports[i], failures[i] = check(paths[i])
			done(int(finished.Add(1)))
		}
	}
	for range min(runtime.GOMAXPROCS(0), len(paths)) - 1 {
		workers.Go(work)
	}
	work() // one file is not worth a goroutine
	workers.Wait()
	if finished.Load() < int64(len(paths)) {
		failures = append(failures, ctx.Err())
	}
	whole := NewReport(0)
	for _, r := range reports {
		if r != nil {
			whole.Merge(r)
		}
	}
	whole.Finish()
	return whole, errors.Join(failures...)
}
