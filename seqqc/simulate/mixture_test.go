package simulate

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
	"forayseq/seqqc"
)

// At each call behind the start the truth must name the bases of both alleles.
func TestTruthOfTwoAlleles(t *testing.T) {
	rng := newRand(31)
	a := RandomSequence(rng, 500)
	b, sites, err := Substituted(rng, a, 6, seqqc.Interval{Start: 60, End: 440})
	require.NoError(t, err)
	require.Len(t, sites, 6)
	templates := []Template{{a, 3}, {b, 1}}
	tr, truth := Mixture(rng, templates, Good())
	require.Equal(t, []float64{0.75, 0.25}, truth.Shares)
	require.Equal(t, truth.Template, truth.Under[0])
	for _, at := range sites {
		i := truth.Call(0, at)
		require.Equal(t, at, truth.Under[1][i])
		require.Equal(t, align.Mask(a[at])|align.Mask(b[at]), truth.Mask(i, templates, 0.2))
		require.Equal(t, align.Mask(a[at]), truth.Mask(i, templates, 0.5))
		require.Equal(t, a[at], tr.Bases[i])
		require.Greater(t, second(tr, i), 0.15)
	}
	require.Equal(t, len(tr.Bases), truth.Call(0, 501))
}

func TestTruthOfAnIndel(t *testing.T) {
	rng := newRand(32)
	short := RandomSequence(rng, 500)
	long, indel, err := Lengthened(rng, short, 250, 3)
	require.NoError(t, err)
	require.Equal(t, 250, indel.At)
	_, truth := Mixture(rng, []Template{{short, 1}, {long, 1}}, Good())
	i := truth.Call(0, indel.At)
	require.Equal(t, i, truth.Call(1, indel.At))
	for k := i + 20; k < i+150; k++ {
		if truth.Under[0][k] >= 0 && truth.Under[1][k] >= 0 {
			require.Equal(t, truth.Under[0][k], truth.Under[1][k], "peaks of one length pass together")
			require.Equal(t, short[truth.Under[0][k]], long[truth.Under[0][k]+3])
		}
	}
}

func TestSlide(t *testing.T) {
	for _, c := range []struct {
		long     string
		at, size int
		want     seqqc.Interval
	}{
		{"GAAAAC", 3, 1, seqqc.Interval{Start: 1, End: 5}},
		{"GACACT", 1, 2, seqqc.Interval{Start: 1, End: 4}},
		{"GCAT", 1, 1, seqqc.Interval{Start: 1, End: 2}},
		{"AAAA", 0, 2, seqqc.Interval{Start: 0, End: 3}},
	} {
		got := slide([]byte(c.long), c.at, c.size)
		require.Equal(t, c.want, got, c.long)
		short := c.long[:c.at] + c.long[c.at+c.size:]
		for at := 0; at+c.size <= len(c.long); at++ {
			same := c.long[:at]+c.long[at+c.size:] == short
			require.Equal(t, at >= got.Start && at < got.End, same, "%s at %d", c.long, at)
		}
	}
}

func TestAllelesThatCannotBe(t *testing.T) {
	rng := newRand(33)
	_, _, err := Substituted(rng, []byte("ACGT"), 5, seqqc.Interval{End: 4})
	require.ErrorContains(t, err, "no 5 bases")
	_, _, err = Lengthened(rng, []byte("ACGT"), 5, 1)
	require.ErrorContains(t, err, "no place")
	_, err = Chimera([]byte("ACGTACGT"), []byte("ACGTACGT"), 99)
	require.Error(t, err)
}

// A chimera is its first parent before the breakpoint and its second behind.
func TestChimera(t *testing.T) {
	rng := newRand(34)
	a := NewLocus(rng, 200, 200)
	b := a.Evolve(rng, 0.15)
	at := len(a.SSU) + 100
	seq, err := Chimera(a.Seq(), b.Seq(), at)
	require.NoError(t, err)
	require.Equal(t, string(a.Seq()[:at]), string(seq[:at]))
	require.True(t, slices.Equal(b.ITS2, seq[len(seq)-len(b.LSU)-len(b.ITS2):len(seq)-len(b.LSU)]))
	al, err := align.Overlap(seq, b.Seq(), align.ITS)
	require.NoError(t, err)
	c, err := al.Count(seq, b.Seq())
	require.NoError(t, err)
	whole, err := align.Overlap(a.Seq(), b.Seq(), align.ITS)
	require.NoError(t, err)
	w, err := whole.Count(a.Seq(), b.Seq())
	require.NoError(t, err)
	require.Greater(t, c.IdentityPct(), w.IdentityPct()+2)
}

// Behind a run of twelve a slipping polymerase leaves each peak a shadow one
// base before it; the run itself and what is before it have none.
func TestSlipShadowsThePeaksBehindARun(t *testing.T) {
	rng := newRand(35)
	template := slices.Concat(RandomSequence(rng, 200), []byte("CAAAAAAAAAAAAG"), RandomSequence(rng, 250))
	p := Good()
	p.Slip, p.RunLoss = 0.12, 0.1
	before, behind := secondBeside(Read(newRand(36), template, p), 200)
	require.Less(t, before, 0.08)
	require.Greater(t, behind, 0.2)
	before, behind = secondBeside(Read(newRand(36), template, Good()), 200)
	require.Less(t, before, 0.08)
	require.Less(t, behind, 0.08)
}

// secondBeside gives the median second channel over the first of 100 calls
// before and behind base at.
func secondBeside(tr *seqqc.Trace, at int) (before, behind float64) {
	median := func(from, to int) float64 {
		var v []float64
		for i := from; i < to; i++ {
			v = append(v, second(tr, i))
		}
		slices.Sort(v)
		return v[len(v)/2]
	}
	return median(at-110, at-10), median(at+30, at+130)
}

func TestSaturationCutsPeaksOff(t *testing.T) {
	rng := newRand(37)
	p := Good()
	p.Signal, p.Saturation = 3000, 1500
	tr := Read(rng, RandomSequence(rng, 400), p)
	requireSound(t, tr)
	flat := 0
	for _, i := range tr.Peaks[50:300] {
		top, _ := ranked(tr.Channels, i)
		require.Less(t, tr.Channels[top][i], int32(1650))
		if tr.Channels[top][i] > 1450 {
			flat++
		}
	}
	require.Greater(t, flat, 200)
}

func TestHumpCoversBases(t *testing.T) {
	rng := newRand(38)
	template := RandomSequence(rng, 300)
	p := Good()
	p.Hump = 1.5
	worst := func(p Params) (most float64) {
		tr := Read(newRand(39), template, p)
		for i := 60; i < 95; i++ {
			most = max(most, second(tr, i))
		}
		return most
	}
	require.Greater(t, worst(p), 0.6)
	require.Less(t, worst(Good()), 0.5)
}

// A read blended with itself is itself; with another, the share of the other
// is in the second peaks.
func TestBlend(t *testing.T) {
	rng := newRand(40)
	p := Good()
	locus := NewLocus(rng, 200, 210)
	other := locus.Evolve(rng, 0.3)
	fa, _, err := Amplicon(locus.Seq(), "ITS1-F", "ITS4")
	require.NoError(t, err)
	fb, _, err := Amplicon(other.Seq(), "ITS1-F", "ITS4")
	require.NoError(t, err)
	a := Read(rng, fa, p)
	p.Signal, p.Spacing = 2500, 12.3
	b := Read(rng, fb, p)

	same, truth, err := Blend(a, a, 0.5)
	require.NoError(t, err)
	requireSound(t, same)
	require.Equal(t, string(a.Bases[40:400]), string(same.Bases[40:400]))
	require.Equal(t, truth.Under[0], truth.Under[1])

	for _, share := range []float64{0.1, 0.25, 0.4} {
		sum, truth, err := Blend(a, b, share)
		require.NoError(t, err)
		requireSound(t, sum)
		require.Equal(t, []float64{1 - share, share}, truth.Shares)
		var ratio, expected []float64
		for i := 60; i < 350; i++ {
			x, y := truth.Under[0][i], truth.Under[1][i]
			if x >= 0 && y >= 0 && a.Bases[x] != b.Bases[y] {
				ratio = append(ratio, second(sum, i))
				expected = append(expected, share/(1-share))
			}
		}
		require.Greater(t, len(ratio), 60)
		slices.Sort(ratio)
		require.InDelta(t, expected[0], ratio[len(ratio)/2], 0.3*expected[0], "share %v", share)
	}
	none, _, err := Blend(a, b, 0)
	require.NoError(t, err)
	require.Equal(t, string(a.Bases[40:400]), string(none.Bases[40:400]))
}

func TestBlendRefuses(t *testing.T) {
	rng := newRand(41)
	a := Read(rng, RandomSequence(rng, 100), Good())
	_, _, err := Blend(a, a, 1.5)
	require.ErrorContains(t, err, "not between 0 and 1")
	_, _, err = Blend(a, &seqqc.Trace{Bases: []byte("ACGT")}, 0.5)
	require.ErrorContains(t, err, "without traces")
	require.Empty(t, Recall(&seqqc.Trace{Bases: []byte("ACGT")}).Bases)
}
