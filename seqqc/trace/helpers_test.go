package trace

import (
	"bytes"
	"encoding/binary"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
)

// openData gives the folder of open data, or skips the test.
func openData(t testing.TB) string {
	t.Helper()
	dir := os.Getenv("FORAYSEQ_OPEN_DATA")
	if dir == "" {
		t.Skip("FORAYSEQ_OPEN_DATA is not set: the open data are not checked")
	}
	return dir
}

func readFile(t testing.TB, parts ...string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(parts...))
	require.NoError(t, err)
	return data
}

// synthetic makes a read of n bases with every part filled: Gaussian peaks 12
// points apart, on a low noise. The sequence is random and means nothing.
func synthetic(seed uint64, n int) *seqqc.Trace {
	r := rand.New(rand.NewPCG(seed, 1))
	t := &seqqc.Trace{
		Format: "ABIF", Name: "synthetic-" + string(rune('a'+seed%26)),
		Well: "B07", Model: "3730", RunDate: "2026-10-03",
		Bases: make([]byte, n), Quals: make([]byte, n), Peaks: make([]int, n),
	}
	samples := 12*n + 20
	for c := range t.Channels {
		t.Channels[c] = make([]int32, samples)
		for i := range t.Channels[c] {
			t.Channels[c][i] = int32(r.IntN(12))
		}
	}
	for i := range n {
		c := r.IntN(4)
		t.Bases[i] = "ACGT"[c]
		t.Quals[i] = byte(r.IntN(63))
		at := 10 + 12*i
		t.Peaks[i] = at
		for d := -9; d <= 9; d++ {
			t.Channels[c][at+d] += int32(220 * math.Exp(-float64(d*d)/12))
		}
	}
	return t
}

func encodeABIF(t testing.TB, tr *seqqc.Trace) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, EncodeABIF(&b, tr))
	return b.Bytes()
}

func encodeSCF(t testing.TB, tr *seqqc.Trace, version, size int) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, EncodeSCF(&b, tr, version, size))
	return b.Bytes()
}

// buildABIF lays out a file of any items, valid or not.
func buildABIF(items ...abifItem) []byte {
	f := abifWriter{items: slices.Clone(items)}
	return f.bytes()
}

func chars(name string, number int32, s string) abifItem {
	return abifItem{name, number, Char, len(s), []byte(s)}
}

func shorts(name string, number int32, values ...int16) abifItem {
	var b []byte
	for _, v := range values {
		b = binary.BigEndian.AppendUint16(b, uint16(v))
	}
	return abifItem{name, number, Short, len(values), b}
}

// patched gives a copy of b with the big-endian word at that place replaced.
func patched(b []byte, at int, word uint32) []byte {
	out := bytes.Clone(b)
	binary.BigEndian.PutUint32(out[at:], word)
	return out
}
