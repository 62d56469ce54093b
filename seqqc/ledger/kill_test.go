package ledger

import (
	"bufio"
	"database/sql"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
)

// A child of the test adds batches until it is killed, and prints the name of
// each once Add has reported it.
const (
	childLedger = "FORAYSEQ_TEST_LEDGER"
	childName   = "FORAYSEQ_TEST_NAME"
)

func TestMain(m *testing.M) {
	if path := os.Getenv(childLedger); path != "" {
		addForEver(path, os.Getenv(childName))
		return
	}
	os.Exit(m.Run())
}

const vouchersOfChild = 10

func batchOfChild(name string) Batch {
	var vouchers []seqqc.VoucherResult
	for i := range vouchersOfChild {
		vouchers = append(vouchers, specimen(fmt.Sprintf("%s-%d", name, i), barcode(uint64(i), 0)))
	}
	b := batchOf(name, vouchers...)
	b.Decisions = []string{`{"id":"1"}`, `{"id":"2"}`}
	return b
}

func addForEver(path, name string) {
	ctx, cancel := testContext()
	defer cancel()
	l, err := Open(ctx, path, Options{Create: true})
	if err != nil {
		fmt.Println("error:", err)
		return
	}
	fmt.Println("open")
	for i := 0; ; i++ {
		batch := fmt.Sprintf("%s-%d", name, i)
		if _, err := l.Add(ctx, batchOfChild(batch), when); err != nil {
			fmt.Println("error:", err)
			return
		}
		fmt.Println("added", batch)
		if i%3 == 2 {
			if _, err := l.UpdateCodes(ctx, when, nil); err != nil {
				fmt.Println("error:", err)
				return
			}
		}
	}
}

// Killed at any moment, the ledger opens, holds every batch that was reported
// as added, and none by half.
func TestKilledAtAnyMoment(t *testing.T) {
	kills := 200
	if testing.Short() {
		kills = 20
	}
	dir := t.TempDir()
	rng := rand.New(rand.NewPCG(4, 2))
	total := 0
	for round := range kills {
		// Now and then on a new file, so that making one is killed too.
		path := filepath.Join(dir, fmt.Sprintf("club-%d.ledger", round/10))
		child := exec.Command(os.Args[0])
		child.Env = append(os.Environ(), childLedger+"="+path, fmt.Sprintf("%s=r%d", childName, round))
		out, err := child.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, child.Start())
		// In some rounds it is killed while it opens the file, in others while it
		// adds the first batch, or one of the next.
		kill := time.NewTimer(time.Minute)
		if round%4 == 0 {
			kill.Reset(time.Duration(rng.IntN(80_000)) * time.Microsecond)
		}
		go func() {
			<-kill.C
			_ = child.Process.Kill()
		}()
		var reported []string
		for scan := bufio.NewScanner(out); scan.Scan(); {
			if scan.Text() == "open" {
				if round%4 == 1 {
					kill.Reset(time.Duration(rng.IntN(60_000)) * time.Microsecond)
				}
				continue
			}
			name, ok := strings.CutPrefix(scan.Text(), "added ")
			require.True(t, ok, scan.Text())
			if reported = append(reported, name); len(reported) == 1 && round%4 > 1 {
				kill.Reset(time.Duration(rng.IntN(60_000)) * time.Microsecond)
			}
		}
		require.Error(t, child.Wait(), "the child was killed")
		total += len(reported)
		whole(t, path, reported)
	}
	require.Positive(t, total, "some batches were reported before the kill")
	t.Logf("%d kills, %d batches reported and found whole", kills, total)
}

// whole opens a ledger that was left by a kill.
func whole(t *testing.T, path string, reported []string) {
	t.Helper()
	if _, err := os.Stat(path); os.IsNotExist(err) {
		require.Empty(t, reported)
		return
	}
	l, err := Open(t.Context(), path, Options{})
	require.NoError(t, err)
	defer func() { require.NoError(t, l.Close()) }()
	var check string
	require.NoError(t, l.db.QueryRow("PRAGMA integrity_check").Scan(&check))
	require.Equal(t, "ok", check)
	batches, err := l.Batches(t.Context())
	require.NoError(t, err)
	var names []string
	for _, b := range batches {
		names = append(names, b.Name)
		require.Equal(t, vouchersOfChild, b.Vouchers, b.Name)
	}
	for _, name := range reported {
		require.Contains(t, names, name)
	}
	var barcodes, decisions int
	require.NoError(t, l.db.QueryRow("SELECT (SELECT count(*) FROM barcodes), (SELECT count(*) FROM decisions)").Scan(&barcodes, &decisions))
	require.Equal(t, vouchersOfChild*len(batches), barcodes)
	require.Equal(t, 2*len(batches), decisions)
	err = l.db.QueryRow("PRAGMA foreign_key_check").Scan(new(string))
	require.ErrorIs(t, err, sql.ErrNoRows)
}

// Two processes that add at once both succeed.
func TestTwoProcessesAddAtOnce(t *testing.T) {
	path := filepath.Join(t.TempDir(), "club.ledger")
	var wait sync.WaitGroup
	reported := make([][]string, 2)
	for i := range 2 {
		child := exec.Command(os.Args[0])
		child.Env = append(os.Environ(), childLedger+"="+path, fmt.Sprintf("%s=p%d", childName, i))
		out, err := child.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, child.Start())
		wait.Go(func() {
			for scan := bufio.NewScanner(out); scan.Scan(); {
				if scan.Text() == "open" {
					continue
				}
				if reported[i] = append(reported[i], scan.Text()); len(reported[i]) == 10 {
					_ = child.Process.Kill()
				}
			}
			_ = child.Wait()
		})
	}
	wait.Wait()
	var names []string
	for _, lines := range reported {
		require.GreaterOrEqual(t, len(lines), 10)
		for _, line := range lines {
			name, ok := strings.CutPrefix(line, "added ")
			require.True(t, ok, line)
			names = append(names, name)
		}
	}
	slices.Sort(names)
	require.Len(t, slices.Compact(names), len(names))
	whole(t, path, names)
}
