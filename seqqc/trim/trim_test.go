package trim

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
	"forayseq/seqqc/simulate"
)

func TestTrimFigures(t *testing.T) {
	// 200 bases: 30 poor, 150 good with known qualities, 20 poor.
	bases := simulate.RandomSequence(rand.New(rand.NewPCG(1, 1)), 200)
	bases[100] = 'N'
	quals := slices.Concat(bytes.Repeat([]byte{5}, 30), bytes.Repeat([]byte{40, 30, 20}, 50), bytes.Repeat([]byte{5}, 20))
	quals[100] = 19
	r := &seqqc.Read{Trace: &seqqc.Trace{Bases: bases, Quals: quals}}
	require.NoError(t, Trim(r, Defaults()))
	require.Equal(t, seqqc.Interval{Start: 30, End: 180}, r.Kept)
	require.True(t, r.Usable)
	require.Empty(t, r.Why)
	require.Empty(t, r.Flags)
	s := r.Stats
	require.Equal(t, 200, s.Bases)
	require.Equal(t, 150, s.KeptBases)
	require.Equal(t, 1, s.Ns)
	require.Equal(t, 149, s.Q20)
	require.Equal(t, 99, s.Q30) // position 100 would have been a Q30
	require.InDelta(t, (50*90-30+19)/150.0, s.MeanQuality, 1e-12)
	require.InDelta(t, 50*(1e-4+1e-3+1e-2)-1e-3+math.Pow(10, -1.9), s.PredictedErrors, 1e-7)
	require.True(t, s.Qualities)
	require.Zero(t, s.SignalToNoise)
}

func TestSignalToNoise(t *testing.T) {
	tr := &seqqc.Trace{
		Bases: []byte("ACGTN"),
		Peaks: []int{1, 3, 5, 7, 8},
		Channels: [4][]int32{
			{0, 900, 0, 10, 0, 0, 0, 50, 9},
			{0, 90, 0, 300, 0, 0, 0, 0, 9},
			{0, 0, 0, 30, 0, 500, 0, 25, 9},
			{0, 45, 0, 0, 0, -4, 0, 200, 9},
		},
	}
	// 900/90, 300/30, 500/1, 200/50: the median of 4, 10, 10, 500.
	require.InDelta(t, 10, signalToNoise(tr, seqqc.Interval{End: 5}), 1e-12)
	require.InDelta(t, 255, signalToNoise(tr, seqqc.Interval{Start: 1, End: 3}), 1e-12)
	require.Zero(t, signalToNoise(tr, seqqc.Interval{Start: 4, End: 5}))
	// Peaks outside the trace say nothing, and are no reason to stop.
	tr.Peaks = []int{-1, 99, 5, 7, 8}
	require.NotPanics(t, func() { signalToNoise(tr, seqqc.Interval{End: 5}) })
	tr.Peaks = nil
	require.Zero(t, signalToNoise(tr, seqqc.Interval{End: 5}))

	// Better presets have the better ratio.
	rng := rand.New(rand.NewPCG(8, 8))
	template := simulate.RandomSequence(rng, 600)
	var ratios []float64
	for _, p := range []simulate.Params{simulate.Poor(), simulate.Fair(), simulate.Good()} {
		r := &seqqc.Read{Trace: simulate.Read(rng, template, p)}
		require.NoError(t, Trim(r, Defaults()))
		ratios = append(ratios, r.Stats.SignalToNoise)
	}
	require.IsIncreasing(t, ratios)
}

func TestUnusableReadsSayWhy(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	random := func(n int) []byte { return simulate.RandomSequence(rng, n) }
	ns := random(300)
	for i := 30; i < 270; i += 12 {
		ns[i] = 'N'
	}
	lax := Defaults()
	lax.Limit = 0.1
	for _, c := range []struct {
		name  string
		trace *seqqc.Trace
		p     Params
		why   string
		flags []seqqc.Flag
	}{
		{"no trace", nil, Defaults(), "the file holds no bases", nil},
		{"no bases", &seqqc.Trace{}, Defaults(), "the file holds no bases", nil},
		{"too long", &seqqc.Trace{Bases: random(6000)}, Defaults(), "6000 bases are too many for a Sanger read (at most 5000)", nil},
		{"noise", &seqqc.Trace{Bases: random(300), Quals: bytes.Repeat([]byte{6}, 300)}, Defaults(),
			"no stretch of the read is of good quality", []seqqc.Flag{seqqc.LowQuality}},
		{"short", &seqqc.Trace{Bases: random(60), Quals: bytes.Repeat([]byte{40}, 60)}, Defaults(),
			"60 bases were left after trimming, and at least 100 are needed", []seqqc.Flag{seqqc.Short}},
		{"poor", &seqqc.Trace{Bases: random(300), Quals: bytes.Repeat([]byte{12}, 300)}, lax,
			"18.9 errors are expected in the 300 bases kept, and at most 9.0 may be", []seqqc.Flag{seqqc.LowQuality}},
		{"ambiguous", &seqqc.Trace{Bases: ns}, Defaults(),
			"20 of the 300 bases kept are ambiguous, and at most 15 may be", []seqqc.Flag{seqqc.LowQuality, seqqc.QualityMissing}},
	} {
		r := &seqqc.Read{Trace: c.trace}
		require.NoError(t, Trim(r, c.p), c.name)
		require.False(t, r.Usable, c.name)
		require.Equal(t, c.why, r.Why, c.name)
		require.Equal(t, c.flags, r.Flags, c.name)
	}
}

func TestReadWithoutQualities(t *testing.T) {
	bases := slices.Concat([]byte("NNANNNCNAN"), simulate.RandomSequence(rand.New(rand.NewPCG(3, 3)), 400), []byte("NNNTN"))
	for name, quals := range map[string][]byte{
		"none": nil, "all zero": make([]byte, len(bases)), "another number": bytes.Repeat([]byte{30}, 7),
	} {
		r := &seqqc.Read{Trace: &seqqc.Trace{Bases: bases, Quals: quals}}
		require.NoError(t, Trim(r, Defaults()), name)
		require.True(t, r.Usable, name)
		require.Equal(t, []seqqc.Flag{seqqc.QualityMissing}, r.Flags, name)
		require.False(t, r.Stats.Qualities)
		require.Zero(t, r.Stats.MeanQuality)
		require.Zero(t, r.Stats.PredictedErrors)
		// Two ambiguous bases may stay in an end window.
		kept := string(bases[r.Kept.Start:r.Kept.End])
		require.Equal(t, "CNAN", kept[:4])
		require.Equal(t, "NN", kept[len(kept)-2:])
		require.Equal(t, quals, r.Trace.Quals, "no quality is made up")
	}
}

func TestTrimKeepsOtherFlagsAndRefusesBadSettings(t *testing.T) {
	r := &seqqc.Read{Trace: &seqqc.Trace{Bases: []byte("ACGT")}, Flags: []seqqc.Flag{seqqc.MixedTemplate}}
	require.NoError(t, Trim(r, Defaults()))
	require.Equal(t, []seqqc.Flag{seqqc.MixedTemplate, seqqc.Short, seqqc.QualityMissing}, r.Flags)

	require.NoError(t, Defaults().Validate())
	for what, change := range map[string]func(*Params){
		"limit is 0,":            func(p *Params) { p.Limit = 0 },
		"limit is NaN":           func(p *Params) { p.Limit = math.NaN() },
		"limit is 1,":            func(p *Params) { p.Limit = 1 },
		"end window is 0":        func(p *Params) { p.EndWindow = 0 },
		"least number of bases":  func(p *Params) { p.MinBases = 0 },
		"must be at least 100":   func(p *Params) { p.MaxBases = 99 },
		"run-off is -1":          func(p *Params) { p.RunOff = -1 },
		"largest error rate":     func(p *Params) { p.MaxErrorRate = -1 },
		"share of ambiguous bas": func(p *Params) { p.MaxAmbiguousShare = 2 },
	} {
		p := Defaults()
		change(&p)
		require.ErrorContains(t, Trim(r, p), what)
	}
}

// Simulated amplicons: what is kept lies within the amplicon, without either
// primer, and is true to it.
func TestTrimSimulatedReads(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	for range 20 {
		seq := simulate.NewLocus(rng, 200, 180).Seq()
		template, _, err := simulate.Amplicon(seq, "ITS1-F", "ITS4")
		require.NoError(t, err)
		tr, truth := simulate.Mixture(rng, []simulate.Template{{Seq: template, Weight: 1}}, simulate.Good())
		r := &seqqc.Read{Trace: tr, Primer: "ITS1-F", Partner: "ITS4", Direction: seqqc.Forward}
		require.NoError(t, Trim(r, Defaults()))
		require.True(t, r.Usable, r.Why)
		require.Greater(t, r.Stats.KeptBases, 450)
		wrong := 0
		for i := r.Kept.Start; i < r.Kept.End; i++ {
			require.Less(t, truth.Template[i], len(template)-20, "a base of the ITS4 site was kept")
			if truth.Error(i, tr.Bases[i], template) {
				wrong++
			}
		}
		require.LessOrEqual(t, wrong, 5)
	}
}

func FuzzTrim(f *testing.F) {
	f.Add([]byte("TCCGTAGGTGAACCTGCGGNNACGTGCATATCAATAAGCGGAGGA"), []byte("((((((((((("), "ITS1", "ITS4", int8(1))
	f.Add([]byte("TGTAAAACGACGGCCAGT"), []byte{}, "M13F", "", int8(0))
	f.Fuzz(func(t *testing.T, bases, quals []byte, primer, partner string, direction int8) {
		if len(bases) > 2000 {
			return
		}
		if len(quals) > len(bases) {
			quals = quals[:len(bases)]
		}
		r := &seqqc.Read{
			Trace:  &seqqc.Trace{Bases: bases, Quals: quals},
			Primer: primer, Partner: partner, Direction: seqqc.Direction(min(1, max(-1, direction))),
		}
		require.NoError(t, Trim(r, Defaults()))
		require.True(t, 0 <= r.Kept.Start && r.Kept.Start <= r.Kept.End && r.Kept.End <= len(bases), "%v", r.Kept)
		require.Equal(t, r.Kept.Len(), r.Stats.KeptBases)
		require.NotEqual(t, r.Usable, r.Why != "")
		for _, s := range r.Primers {
			require.True(t, 0 <= s.At.Start && s.At.Start < s.At.End && s.At.End <= len(bases))
			if s.Cut {
				require.True(t, s.At.End <= r.Kept.Start || s.At.Start >= r.Kept.End)
			}
		}
	})
}

func ExampleTrim() {
	// A synthetic read: its own primer ITS1, good bases, a poor end.
	good := strings.Repeat("AAGGATCATTACTGACCTTG", 8)
	read := &seqqc.Read{
		File: "x-ITS1.ab1", Primer: "ITS1", Direction: seqqc.Forward,
		Trace: &seqqc.Trace{
			Bases: []byte("TCCGTAGGTGAACCTGCGG" + good + "NANNTANC"),
			Quals: append(bytes.Repeat([]byte{38}, 19+len(good)), 4, 3, 4, 4, 3, 5, 4, 3),
		},
	}
	if err := Trim(read, Defaults()); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(read.Usable, read.Kept, read.Stats.Q30)
	for _, s := range read.Primers {
		fmt.Println(s.Primer, s.At, s.Cut)
	}
	// Output:
	// true {19 179} 160
	// ITS1 {0 19} true
}

func ExampleWindow() {
	fmt.Println(Window([]byte{4, 9, 30, 35, 12, 38, 40, 8, 3}, 0.05))
	// Output: {2 7}
}
