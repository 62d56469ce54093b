package batch_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
	"forayseq/seqqc"
	"forayseq/seqqc/simulate"
	"forayseq/seqqc/trace"
	"forayseq/seqqc/trim"
)

// limits are the trimming limits compared. The tables that these tests print
// with -v stand in seqqc/trim/testdata/README.md.
var limits = []float64{0.005, 0.01, 0.02, 0.03, 0.05, 0.07, 0.1, 0.2}

// tally counts what trimming at one limit keeps of some reads.
type tally struct {
	kept, wrong, endKept, endWrong, failing int
	predicted                               float64
}

// endBases is the length of what counts as the end of a kept stretch.
const endBases = 20

// Trimming of simulated reads, whose true sequence is known, at each limit.
func TestTrimLimitOnSimulatedReads(t *testing.T) {
	reads := 150
	if testing.Short() {
		reads = 30
	}
	for _, preset := range []struct {
		name string
		p    simulate.Params
	}{{"good", simulate.Good()}, {"fair", simulate.Fair()}, {"poor", simulate.Poor()}} {
		rng := rand.New(rand.NewPCG(2026, 5))
		totals := make([]tally, len(limits))
		for range reads {
			seq := simulate.NewLocus(rng, 150+rng.IntN(200), 150+rng.IntN(200)).Seq()
			template, _, err := simulate.Amplicon(seq, "ITS1-F", "ITS4")
			require.NoError(t, err)
			tr, truth := simulate.Mixture(rng, []simulate.Template{{Seq: template, Weight: 1}}, preset.p)
			for i, limit := range limits {
				v := trim.Window(tr.Quals, limit)
				totals[i].add(tr, v, func(k int) bool { return truth.Error(k, tr.Bases[k], template) })
			}
		}
		t.Logf("%s reads (%d)\n%s", preset.name, reads, table(totals, reads))
		for i := range limits[1:] {
			require.GreaterOrEqual(t, totals[i+1].kept, totals[i].kept, "a larger limit keeps no less")
		}
		// At the default limit what is kept must be as good as it is said to
		// be, within a factor of two.
		at := totals[slices.Index(limits, trim.Defaults().Limit)]
		require.Less(t, float64(at.wrong), 2*at.predicted+10)
		if preset.name != "poor" {
			require.LessOrEqual(t, at.failing, reads/50, "reads with more errors than a species match leaves room for")
		}
	}
}

func (s *tally) add(tr *seqqc.Trace, v seqqc.Interval, wrong func(k int) bool) {
	errors := 0
	for k := v.Start; k < v.End; k++ {
		s.kept++
		s.predicted += align.CallError(tr.Quals[k])
		end := k < v.Start+endBases || k >= v.End-endBases
		if end {
			s.endKept++
		}
		if wrong(k) {
			errors++
			if end {
				s.endWrong++
			}
		}
	}
	s.wrong += errors
	// What an identity of 99.6 % leaves room for.
	if float64(errors) > 0.004*float64(v.Len()) {
		s.failing++
	}
}

func table(totals []tally, reads int) string {
	var b strings.Builder
	b.WriteString("limit  kept/read  wrong/read  predicted/read  wrong per 1,000  at the ends  reads > 0.4 %\n")
	for i, s := range totals {
		n := float64(reads)
		fmt.Fprintf(&b, "%5.3f  %9.1f  %10.2f  %14.2f  %15.2f  %11.2f  %13d\n", limits[i],
			float64(s.kept)/n, float64(s.wrong)/n, s.predicted/n,
			1000*float64(s.wrong)/max(1, float64(s.kept)), 1000*float64(s.endWrong)/max(1, float64(s.endKept)), s.failing)
	}
	return b.String()
}

// Trimming of 26 real reads (github.com sgraham9319/SubalpineMyco, Data/bioassay, MIT)
// against the archive records near them. Where a read's best record is the
// same species, differences along the read are errors of the read, but for
// what the specimens truly differ by, which the limit does not change.
func TestTrimLimitOnRealReads(t *testing.T) {
	dir := os.Getenv("FORAYSEQ_OPEN_DATA")
	if dir == "" {
		t.Skip("FORAYSEQ_OPEN_DATA is not set")
	}
	refs := references(t, filepath.Join(dir, "its", "subalpine_references.fasta"))
	files, err := filepath.Glob(filepath.Join(dir, "abif", "fungal_its1f", "*.ab1"))
	require.NoError(t, err)
	require.Len(t, files, 26)

	totals := make([]tally, len(limits))
	close := 0
	for _, file := range files {
		f, err := os.Open(file)
		require.NoError(t, err)
		tr, err := trace.DecodeABIF(f, trace.Limits{})
		require.NoError(t, err)
		require.NoError(t, f.Close())

		// The record is chosen once, on the stretch of the strictest limit, so
		// that every limit is held against the same one.
		v := trim.Window(tr.Quals, limits[0])
		if v.Len() < 200 {
			t.Logf("%s: window of %d at limit %v, passed over", filepath.Base(file), v.Len(), limits[0])
			continue
		}
		ref, pct := nearest(t, tr.Bases[v.Start:v.End], refs)
		t.Logf("%s: %d bases, nearest %.2f %%, windows %s", filepath.Base(file), len(tr.Bases), pct, windows(tr.Quals))
		if pct < 98.5 {
			continue
		}
		close++
		for i, limit := range limits {
			v := trim.Window(tr.Quals, limit)
			differs := differences(t, tr.Bases[v.Start:v.End], ref)
			totals[i].add(tr, v, func(k int) bool { return differs[k-v.Start] })
		}
	}
	require.GreaterOrEqual(t, close, 5)
	t.Logf("%d real reads within 1.5 %% of a record\n%s", close, table(totals, close))
}

func windows(quals []byte) string {
	var parts []string
	for _, limit := range limits {
		v := trim.Window(quals, limit)
		parts = append(parts, fmt.Sprintf("%d-%d", v.Start, v.End))
	}
	return strings.Join(parts, " ")
}

func references(t *testing.T, file string) [][]byte {
	t.Helper()
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	traces, err := trace.DecodeFASTA(bytes.NewReader(text), trace.Limits{})
	require.NoError(t, err)
	require.NotEmpty(t, traces)
	var out [][]byte
	for _, tr := range traces {
		out = append(out, tr.Bases, align.ReverseComplement(tr.Bases))
	}
	return out
}

// nearest gives the reference with the best overlap among the three that
// share most words with seq, and its identity.
func nearest(t *testing.T, seq []byte, refs [][]byte) (best []byte, pct float64) {
	t.Helper()
	const word = 11
	own := map[string]bool{}
	for i := 0; i+word <= len(seq); i++ {
		own[string(seq[i:i+word])] = true
	}
	shared := func(ref []byte) (n int) {
		for i := 0; i+word <= len(ref); i++ {
			if own[string(ref[i:i+word])] {
				n++
			}
		}
		return n
	}
	ranked := slices.Clone(refs)
	slices.SortStableFunc(ranked, func(a, b []byte) int { return shared(b) - shared(a) })
	score := 0
	for _, ref := range ranked[:3] {
		al, err := align.Overlap(seq, ref, align.ITS)
		require.NoError(t, err)
		if al.Score <= score {
			continue
		}
		counts, err := al.Count(seq, ref)
		require.NoError(t, err)
		best, pct, score = ref, counts.IdentityPct(), al.Score
	}
	return best, pct
}

// differences tells for each base of seq whether it differs from ref where
// the two overlap; a base left out counts at the base before it.
func differences(t *testing.T, seq, ref []byte) []bool {
	t.Helper()
	al, err := align.Overlap(seq, ref, align.ITS)
	require.NoError(t, err)
	out := make([]bool, len(seq))
	i, j := al.AStart, al.BStart
	for _, run := range al.Runs {
		for range run.Len {
			switch run.Op {
			case align.Pair:
				out[i] = align.Mask(seq[i])&align.Mask(ref[j]) == 0
				i, j = i+1, j+1
			case align.OnlyA:
				out[i] = true
				i++
			case align.OnlyB:
				out[max(0, i-1)] = true
				j++
			}
		}
	}
	return out
}

// Sites in the 26 real reads, all made with ITS1-F. Most pass ITS3 in the 5.8S
// and LR0R before the end; neither is an end. Five run to the site of ITS4 and
// are cut there. cleaned_1 and cleaned_31 have the site of ITS1 only at base
// 527, behind a long insertion: no end either.
func TestPrimerSitesOnRealReads(t *testing.T) {
	dir := os.Getenv("FORAYSEQ_OPEN_DATA")
	if dir == "" {
		t.Skip("FORAYSEQ_OPEN_DATA is not set")
	}
	files, err := filepath.Glob(filepath.Join(dir, "abif", "fungal_its1f", "*.ab1"))
	require.NoError(t, err)
	for _, partner := range []string{"", "ITS4"} {
		cut, passed := map[string]int{}, map[string]int{}
		usable := 0
		for _, file := range files {
			text, err := os.ReadFile(file)
			require.NoError(t, err)
			tr, err := trace.DecodeABIF(bytes.NewReader(text), trace.Limits{})
			require.NoError(t, err)
			r := &seqqc.Read{Trace: tr, Primer: "ITS1-F", Partner: partner, Direction: seqqc.Forward}
			require.NoError(t, trim.Trim(r, trim.Defaults()))
			if r.Usable {
				usable++
			}
			for _, s := range r.Primers {
				if s.Cut {
					cut[s.Primer]++
				} else {
					passed[s.Primer]++
				}
			}
		}
		t.Logf("partner %q: %d usable, cut %v, passed %v", partner, usable, cut, passed)
		require.Equal(t, map[string]int{"ITS4": 5}, cut)
		require.Equal(t, 2, passed["ITS1"])
		require.GreaterOrEqual(t, passed["ITS3"], 20)
		require.GreaterOrEqual(t, passed["LR0R"], 15)
		require.GreaterOrEqual(t, usable, 20)
	}
}
