package review_test

import (
	"context"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc/batch"
	"forayseq/seqqc/demo"
	"forayseq/seqqc/review"
)

// opened is a batch with its page.
type opened struct {
	dir, address, origin string
	session              *batch.Session
}

// openDemo serves the invented club's batch, to be opened in a browser; change may
// alter the folder first. Tests with a page run beside one another: they wait much.
func openDemo(t *testing.T, change func(dir string)) opened {
	t.Helper()
	browser(t) // skips where there is none
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "demo-batch")
	require.NoError(t, demo.Write(dir, demo.Options{}))
	if change != nil {
		change(dir)
	}
	settings := batch.DefaultSettings()
	settings.Match.Spread = 0 // which takes a third of the opening; the pictures then say so
	s, err := batch.Open(t.Context(), batch.Options{Dir: dir, Settings: settings})
	require.NoError(t, err)
	l, err := review.Listen(0)
	require.NoError(t, err)
	token := review.NewToken()
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() {
		done <- review.Serve(ctx, l, batchOf("demo-batch", s), review.Options{Token: token, Who: "tester"})
	}()
	t.Cleanup(func() {
		cancel()
		require.NoError(t, <-done)
	})
	return opened{dir, review.Address(l, token), "http://" + l.Addr().String(), s}
}

func batchOf(name string, s *batch.Session) review.Batch {
	return review.Batch{Name: name, Result: s.Result, Voucher: s.Voucher, Decide: s.Decide, Changes: s.Changes, Outdated: s.Outdated}
}
