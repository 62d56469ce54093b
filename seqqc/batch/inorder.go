package batch

import (
	"context"
	"iter"
	"runtime"
	"sync"
)

// heldPerThread is how many items are held for each thread: enough that one
// which takes several times as long as the others leaves no thread idle.
const heldPerThread = 4

// inOrder calls work on the items on so many threads (zero: one a processor),
// and tell with the results, one call at a time, in the order of the items.
// Beside one that waits to be taken up, no more than heldPerThread items a
// thread are held, results not told yet included: one that takes long holds up
// the reading of later ones. The first error of work or tell ends it, and the
// context given to work with it.
//
// When it returns no call of work is under way. Where items is waiting for its
// next one, that cannot be broken off; it is asked for no other.
func inOrder[T, R any](ctx context.Context, threads int, items iter.Seq[T], work func(context.Context, T) (R, error), tell func(R) error) error {
	if threads <= 0 {
		threads = runtime.GOMAXPROCS(0)
	}
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	next := make(chan T)
	go func() {
		defer close(next)
		for item := range items {
			select {
			case next <- item:
			case <-ctx.Done():
				return
			}
		}
	}()
	type job struct {
		item   T
		result chan R
	}
	most := heldPerThread * threads
	jobs := make(chan job, most)
	var group sync.WaitGroup
	for range threads {
		group.Go(func() {
			for j := range jobs {
				if ctx.Err() != nil {
					return
				}
				r, err := work(ctx, j.item)
				if err != nil {
					cancel(err)
					return
				}
				j.result <- r
			}
		})
	}
	var held []<-chan R
	for ended := false; ctx.Err() == nil && (!ended || len(held) > 0); {
		// A nil channel is never ready.
		var more <-chan T
		if !ended && len(held) < most {
			more = next
		}
		var oldest <-chan R
		if len(held) > 0 {
			oldest = held[0]
		}
		select {
		case item, open := <-more:
			if !open {
				ended = true
				continue
			}
			j := job{item, make(chan R, 1)}
			held = append(held, j.result)
			jobs <- j // has room: what is in it is held
		case r := <-oldest:
			held = held[1:]
			if err := tell(r); err != nil {
				cancel(err)
			}
		case <-ctx.Done():
		}
	}
	close(jobs)
	group.Wait()
	// Read before the deferred cancel, which would hide that all went well.
	if ctx.Err() != nil {
		return context.Cause(ctx)
	}
	return nil
}
