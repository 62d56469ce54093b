package batch_test

import (
	"cmp"
	"context"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
	"forayseq/seqqc"
	"forayseq/seqqc/batch"
	"forayseq/seqqc/signal"
	"forayseq/seqqc/trace"
	"forayseq/seqqc/trim"
)

// realReads gives the 26 reads of github.com sgraham9319/SubalpineMyco,
// Data/bioassay (MIT), in the order of their names.
func realReads(t *testing.T) (names []string, traces []*seqqc.Trace) {
	t.Helper()
	dir := os.Getenv("FORAYSEQ_OPEN_DATA")
	if dir == "" {
		t.Skip("FORAYSEQ_OPEN_DATA is not set")
	}
	files, err := filepath.Glob(filepath.Join(dir, "abif", "fungal_its1f", "*.ab1"))
	require.NoError(t, err)
	require.Len(t, files, 26)
	for _, file := range files {
		names, traces = append(names, filepath.Base(file)), append(traces, readABIF(t, file))
	}
	return names, traces
}

func readABIF(t *testing.T, file string) *seqqc.Trace {
	t.Helper()
	f, err := os.Open(file)
	require.NoError(t, err)
	tr, err := trace.DecodeABIF(f, trace.Limits{})
	require.NoError(t, err)
	require.NoError(t, f.Close())
	return tr
}

// decade counts calls of one decade of estimated quality.
type decade struct {
	calls, wrong          int
	predicted, sequencers float64
}

func (d *decade) add(estimated, own byte) {
	d.calls++
	d.predicted += align.CallError(estimated)
	d.sequencers += align.CallError(own)
}

// Estimated qualities of real reads against a truth from elsewhere: sequences
// of other specimens and archive records (SubalpineMyco, as above) at least
// 99.4 % identical to the read's good stretch, two or more of them. A call is
// wrong where it differs from all that cover it. The errors seen are within a
// factor of two of those predicted, or fewer, with room for chance.
//
// All real reads that have qualities are also held against these. They are no
// truth: where there is one, the sequencer claims less than it keeps.
func TestEstimatedQualitiesOnRealReads(t *testing.T) {
	notUnderShort(t)
	names, traces := realReads(t)
	dir := os.Getenv("FORAYSEQ_OPEN_DATA")
	records := references(t, filepath.Join(dir, "its", "subalpine_references.fasta"))
	var good [][]byte
	for _, tr := range traces {
		v := trim.Window(tr.Quals, 0.02)
		good = append(good, tr.Bases[v.Start:v.End])
	}
	var judged, all [4]decade
	reads := 0
	for k, tr := range traces {
		quals := signal.Qualities(tr, signal.Measure(tr))
		for i, q := range quals {
			if tr.Bases[i] != 'N' {
				all[q/10].add(q, tr.Quals[i])
			}
		}
		seen, right, near := truthOf(t, tr, good[k], slices.Concat(records, good[:k], good[k+1:]))
		if near < 2 {
			continue
		}
		reads++
		t.Logf("%s: %d near sequences", names[k], near)
		for i, q := range quals {
			if !seen[i] || tr.Bases[i] == 'N' {
				continue
			}
			judged[q/10].add(q, tr.Quals[i])
			if !right[i] {
				judged[q/10].wrong++
				t.Logf("  base %d, %c: estimated Q%d, sequencer's Q%d", i, tr.Bases[i], q, tr.Quals[i])
			}
		}
	}
	for _, file := range []string{"3100.ab1", "3730.ab1", "A6_1-DB3.ab1", "nonascii_encoding.ab1", "same_read.ab1"} {
		tr := readABIF(t, filepath.Join(dir, "abif", "instruments", file))
		for i, q := range signal.Qualities(tr, signal.Measure(tr)) {
			if tr.Bases[i] != 'N' {
				all[q/10].add(q, tr.Quals[i])
			}
		}
	}
	require.GreaterOrEqual(t, reads, 10)
	for k, d := range judged {
		t.Logf("Q%d-%d: %5d calls, %5.1f errors predicted, %2d seen, %5.1f by the sequencer's qualities", 10*k, 10*k+9, d.calls, d.predicted, d.wrong, d.sequencers)
		require.LessOrEqual(t, float64(d.wrong), 2*d.predicted+2*math.Sqrt(d.predicted)+2)
	}
	for k, d := range all {
		t.Logf("Q%d-%d: %5d calls of 31 reads, %6.1f errors predicted, %6.1f by the sequencers' qualities", 10*k, 10*k+9, d.calls, d.predicted, d.sequencers)
	}
}

// truthOf tells which bases of tr lie over a sequence near its good stretch,
// and which of them are as one of these has them; near is their number.
func truthOf(t *testing.T, tr *seqqc.Trace, good []byte, others [][]byte) (seen, right []bool, near int) {
	t.Helper()
	seen, right = make([]bool, len(tr.Bases)), make([]bool, len(tr.Bases))
	if len(good) < 200 {
		return seen, right, 0
	}
	// Only what shares many words with the read can be so near.
	const word, most = 11, 25
	own := map[string]bool{}
	for i := 0; i+word <= len(good); i++ {
		own[string(good[i:i+word])] = true
	}
	shared := make(map[int]int)
	order := make([]int, len(others))
	for k, other := range others {
		order[k] = k
		for i := 0; i+word <= len(other); i++ {
			if own[string(other[i:i+word])] {
				shared[k]++
			}
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(shared[b], shared[a]) })
	for _, k := range order[:most] {
		al, err := align.Overlap(good, others[k], align.ITS)
		require.NoError(t, err)
		c, err := al.Count(good, others[k])
		require.NoError(t, err)
		if c.IdentityPct() < 99.4 || c.Columns < 200 {
			continue
		}
		near++
		markRight(t, tr.Bases, others[k], seen, right)
	}
	return seen, right, near
}

// markRight marks the bases of seq that lie over ref, and those that are as
// ref has them: not an inserted base, nor the one before a base left out.
func markRight(t *testing.T, seq, ref []byte, seen, right []bool) {
	t.Helper()
	al, err := align.Overlap(seq, ref, align.ITS)
	require.NoError(t, err)
	i := al.AStart
	same := differences(t, seq, ref)
	for _, run := range al.Runs {
		if run.Op == align.OnlyB {
			continue
		}
		for range run.Len {
			seen[i] = true
			right[i] = right[i] || !same[i]
			i++
		}
	}
}

// Reads that a person takes for one template by the look of their traces, and
// reads in which a second sequence shows all along. Of the bases of which the
// sequencer is sure (Q30), the first have hardly any second peak above a fifth.
func TestSecondPeaksOnRealReads(t *testing.T) {
	names, traces := realReads(t)
	one := []string{"1", "15", "22", "26", "34", "40", "65", "70", "78", "88"}
	two := []string{"31", "43", "46", "49", "59", "62"}
	sure, double, all, other := 0, 0, 0, 0
	for k, tr := range traces {
		n, d := 0, 0
		for i, b := range signal.Measure(tr).Bases {
			if tr.Quals[i] < 30 {
				continue
			}
			n++
			all++
			if tr.Bases[i] != b.Primary.Base {
				other++
			}
			if b.Ratio > 0.2 {
				d++
			}
		}
		t.Logf("%s: %d of %d calls of Q30 have a second peak above 0.2", names[k], d, n)
		is := func(list []string) bool {
			return slices.ContainsFunc(list, func(s string) bool { return names[k] == "cleaned_"+s+"-ITS1F.ab1" })
		}
		if is(one) {
			sure, double = sure+n, double+d
			require.LessOrEqual(t, d, n/50)
		}
		if is(two) {
			require.GreaterOrEqual(t, d, n/5)
		}
	}
	t.Logf("reads of one template: %d of %d; calls that are not the highest peak: %d of %d", double, sure, other, all)
	require.LessOrEqual(t, other, all/1000)
	require.LessOrEqual(t, double, sure/200)
}

// 310.ab1 of python-biopython-doc (Biopython licence) has qualities of zero
// only. They are estimated; what the file holds stays as it was.
func TestQualitiesOf310(t *testing.T) {
	dir := os.Getenv("FORAYSEQ_OPEN_DATA")
	if dir == "" {
		t.Skip("FORAYSEQ_OPEN_DATA is not set")
	}
	file := filepath.Join(dir, "abif", "instruments", "310.ab1")
	require.False(t, readABIF(t, file).HasQuals())
	reads, _, err := batch.QC(context.Background(), []string{file}, nil, batch.DefaultSettings())
	require.NoError(t, err)
	require.Len(t, reads, 1)
	r := reads[0]
	require.True(t, r.Trace.HasQuals())
	require.True(t, r.Stats.Qualities)
	require.Contains(t, r.Flags, seqqc.QualityEstimated)
	require.NotContains(t, r.Flags, seqqc.QualityMissing)
	require.False(t, r.Usable)
	// By eye the trace is usable from the start to about base 130.
	require.InDelta(t, 130, r.Signal.Usable.End, 15)
}
