package batch

import (
	"context"
	"runtime"
	"sync"
)

// inParallel calls work for 0 to n-1 on so many workers (zero: one a
// processor) and tells done after each, one call at a time. The first error
// ends it, and the context given to work with it.
func inParallel(ctx context.Context, workers, n int, work func(context.Context, int) error, done func(int)) error {
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	next := make(chan int)
	var group sync.WaitGroup
	var telling sync.Mutex
	finished := 0
	for range min(workers, n) {
		group.Go(func() {
			for i := range next {
				if err := work(ctx, i); err != nil {
					cancel(err)
					return
				}
				telling.Lock()
				finished++
				done(finished)
				telling.Unlock()
			}
		})
	}
feed:
	for i := range n {
		select {
		case next <- i:
		case <-ctx.Done():
			break feed
		}
	}
	close(next)
	group.Wait()
	// Read before the deferred cancel, which would hide that all went well.
	if ctx.Err() != nil {
		return context.Cause(ctx)
	}
	return nil
}
