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
	failures := make([]error, len(paths))
	next := make(chan int)
	var finished atomic.Int64
	var workers sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(paths)) {
		workers.Go(func() {
			for i := range next {
				reports[i], failures[i] = check(paths[i])
				done(int(finished.Add(1)))
			}
		})
	}
	stopped := feed(ctx, next, len(paths))
	close(next)
	workers.Wait()
	whole := NewReport(0)
	for _, r := range reports {
		if r != nil {
			whole.Merge(r)
		}
	}
	whole.Finish()
	return whole, errors.Join(append(failures, stopped)...)
}

// feed hands out the numbers below n until all are taken or the context ends.
func feed(ctx context.Context, next chan<- int, n int) error {
	for i := range n {
		if err := ctx.Err(); err != nil {
			return err
		}
		select {
		case next <- i:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	return nil
}
