package simulate_test

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
	"forayseq/seqqc"
	"forayseq/seqqc/simulate"
	"forayseq/seqqc/trace"
)

// goodReads gives those of 26 fungal ITS1-F reads of a 3730xl whose calls 100
// to 500 have a mean quality of at least 40. Source:
// sgraham9319/SubalpineMyco at 488d9e32, Data/bioassay, MIT.
func goodReads(t *testing.T) []*seqqc.Trace {
	t.Helper()
	dir := os.Getenv("FORAYSEQ_OPEN_DATA")
	if dir == "" {
		t.Skip("FORAYSEQ_OPEN_DATA is not set: no open data to check against")
	}
	names, err := filepath.Glob(filepath.Join(dir, "abif", "fungal_its1f", "*.ab1"))
	require.NoError(t, err)
	require.Len(t, names, 26)
	var out []*seqqc.Trace
	for _, name := range names {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		tr, err := trace.DecodeABIF(bytes.NewReader(text), trace.Limits{})
		require.NoError(t, err, name)
		sum := 0
		for _, q := range tr.Quals[min(100, len(tr.Quals)):min(500, len(tr.Quals))] {
			sum += int(q)
		}
		if len(tr.Quals) > 510 && sum >= 40*400 {
			out = append(out, tr)
		}
	}
	require.Len(t, out, 12)
	return out
}

// The caller of this package, which a blend depends on, must see in a real
// trace what the instrument's own caller saw.
func TestRecallAgreesWithTheInstrument(t *testing.T) {
	columns, differ := 0, 0
	for _, tr := range goodReads(t) {
		again := simulate.Recall(tr)
		a, b := tr.Bases[50:500], again.Bases
		al, err := align.Overlap(a, b, align.ITS)
		require.NoError(t, err)
		c, err := al.Count(a, b)
		require.NoError(t, err)
		columns += c.Columns
		differ += c.Columns - c.IdenticalStrict
	}
	t.Logf("%d of %d columns differ", differ, columns)
	require.Greater(t, columns, 12*440)
	require.Less(t, differ, columns/250)
}

// Of two real reads blended, the second peak where their calls differ must have
// the height that the share gives it, and the calls must still be the first
// read's.
func TestBlendOfRealReads(t *testing.T) {
	reads := goodReads(t)
	for _, share := range []float64{0.1, 0.25, 0.4} {
		var ratios []float64
		wrong, calls := 0, 0
		for i, a := range reads {
			b := reads[(i+5)%len(reads)]
			sum, truth, err := simulate.Blend(a, b, share)
			require.NoError(t, err)
			for k := range sum.Bases {
				x, y := truth.Under[0][k], truth.Under[1][k]
				if x < 60 || x > 450 || y < 60 || y > 450 || a.Quals[x] < 30 || b.Quals[y] < 30 || a.Bases[x] == b.Bases[y] {
					continue
				}
				calls++
				if sum.Bases[k] != a.Bases[x] {
					wrong++
				}
				at := sum.Peaks[k]
				ca, cb := channel(a.Bases[x]), channel(b.Bases[y])
				ratios = append(ratios, float64(sum.Channels[cb][at])/float64(max(1, sum.Channels[ca][at])))
			}
		}
		slices.Sort(ratios)
		median, want := ratios[len(ratios)/2], share/(1-share)
		t.Logf("share %v: median ratio %.3f, %.3f expected; %d of %d calls not those of the first read", share, median, want, wrong, calls)
		require.Greater(t, calls, 500)
		require.InDelta(t, want, median, 0.25*want)
		if share < 0.3 {
			require.Less(t, wrong, calls/20)
		}
	}
}

func channel(base byte) int { return bytes.IndexByte([]byte("ACGT"), base) }
