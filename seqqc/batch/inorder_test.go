package batch

import (
	"context"
	"errors"
	"iter"
	"slices"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"
)

// numbers gives 0 to n-1 and counts what it gave.
func numbers(n int, given *atomic.Int64) iter.Seq[int] {
	return func(yield func(int) bool) {
		for i := range n {
			given.Add(1)
			if !yield(i) {
				return
			}
		}
	}
}

// Time in these tests is that of a bubble: it goes on when every goroutine
// waits. A bubble also fails where a goroutine is left.

func TestInOrderKeepsTheOrder(t *testing.T) {
	for _, threads := range []int{1, 2, 8} {
		synctest.Test(t, func(t *testing.T) {
			var given atomic.Int64
			var got []int
			require.NoError(t, inOrder(t.Context(), threads, numbers(200, &given), func(_ context.Context, i int) (int, error) {
				// Uneven: some take a thousand times as long as others.
				time.Sleep(time.Duration(i*i%7*i%11) * time.Millisecond)
				if i%37 == 0 {
					time.Sleep(time.Second)
				}
				return i, nil
			}, func(i int) error { got = append(got, i); return nil }))
			var every []int
			for i := range 200 {
				every = append(every, i)
			}
			require.Equal(t, every, got)
		})
	}
}

func TestInOrderHoldsFewItems(t *testing.T) {
	const endless = 1 << 40
	for _, threads := range []int{1, 2, 8} {
		most := int64(heldPerThread*threads) + 1 // one waits to be taken up
		t.Run("a slow item", func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				ctx, cancel := context.WithCancel(t.Context())
				var given, working, worked atomic.Int64
				ended := make(chan error)
				go func() {
					ended <- inOrder(ctx, threads, numbers(endless, &given), func(ctx context.Context, i int) (int, error) {
						require.LessOrEqual(t, working.Add(1), int64(threads))
						defer working.Add(-1)
						if i == 0 {
							<-ctx.Done()
							return 0, ctx.Err()
						}
						worked.Add(1)
						return i, nil
					}, func(int) error { t.Error("0 was never done, and nothing comes before it"); return nil })
				}()
				synctest.Wait() // for as long as anything goes on
				require.Equal(t, most, given.Load())
				if threads > 1 {
					require.Equal(t, most-2, worked.Load(), "the other threads go on")
				}
				cancel()
				require.ErrorIs(t, <-ended, context.Canceled)
			})
		})
		t.Run("a slow reader of the results", func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				var given atomic.Int64
				stop := errors.New("enough")
				told := 0
				require.ErrorIs(t, inOrder(t.Context(), threads, numbers(endless, &given), func(_ context.Context, i int) (int, error) {
					return i, nil
				}, func(i int) error {
					time.Sleep(time.Second)
					require.LessOrEqual(t, given.Load()-int64(told), most+1) // and the one being told
					if told++; told == 1000 {
						return stop
					}
					return nil
				}), stop)
				require.Equal(t, 1000, told, "after an error nothing is told")
			})
		})
	}
}

func TestInOrderEnds(t *testing.T) {
	broken := errors.New("broken")
	for name, c := range map[string]struct {
		workAt, tellAt int // that fails
		told           []int
	}{
		"work": {3, -1, []int{0, 1, 2}},
		"tell": {-1, 2, []int{0, 1}},
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				var given atomic.Int64
				var told []int
				err := inOrder(t.Context(), 1, numbers(1000, &given), func(_ context.Context, i int) (int, error) {
					time.Sleep(time.Second) // so that what is done before is told before
					if i == c.workAt {
						return 0, broken
					}
					return i, nil
				}, func(i int) error {
					if i == c.tellAt {
						return broken
					}
					told = append(told, i)
					return nil
				})
				require.ErrorIs(t, err, broken)
				require.Equal(t, c.told, told)
				require.Less(t, given.Load(), int64(20))
			})
		})
	}
	require.NoError(t, inOrder(t.Context(), 0, slices.Values([]int{}), func(_ context.Context, i int) (int, error) { return i, nil }, nil))
}

// Items that never come do not hold up the end.
func TestInOrderLeavesItemsThatWait(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		ctx, cancel := context.WithTimeout(t.Context(), time.Second)
		defer cancel()
		late := make(chan int)
		err := inOrder(ctx, 2, func(yield func(int) bool) { yield(<-late) }, func(_ context.Context, i int) (int, error) { return i, nil }, nil)
		require.ErrorIs(t, err, context.DeadlineExceeded)
		late <- 1 // and then it is gone, or the bubble would complain
	})
}
