package signal

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
	"forayseq/seqqc/simulate"
)

// Peaks cut off at the top of the range are named, with their bases.
func TestClipped(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	d := draw(shuffled(rng, 100), 3.5)
	for _, i := range []int{20, 50} {
		d.add(d.bases[i], float64(d.at[i]), 2000)
	}
	for c := range d.samples {
		for i, v := range d.samples[c] {
			d.samples[c][i] = min(v, 1800)
		}
	}
	s := Measure(d.trace())
	require.Len(t, s.Clipped, 2)
	for k, i := range []int{20, 50} {
		require.True(t, s.Clipped[k].Contains(seqqc.Interval{Start: d.at[i], End: d.at[i] + 1}))
		require.InDelta(t, 7, s.Clipped[k].Len(), 1) // 3000 exp(-x²/2sd²) >= 1800: |x| <= 3.5
	}
	for i, b := range s.Bases {
		require.Equal(t, i == 20 || i == 50, b.Clipped, "base %d", i)
	}
}

// The highest peak of a trace that was not cut is none.
func TestNotClipped(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for _, sd := range []float64{2.5, 4, 6} {
		d := draw(shuffled(rng, 100), sd)
		d.hump('A', 500, 3000, 20)
		require.Empty(t, Measure(d.trace()).Clipped, "sd %v", sd)
	}
}

// Humps of dye on the first bases are named; a run of one base is none.
func TestBlobs(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	bases := shuffled(rng, 200)
	copy(bases[40:], "AAAAAA")
	d := draw(bases, 3)
	require.Empty(t, Measure(d.trace()).Blobs)
	at := d.at[80]
	d.hump('C', float64(at), 1500, 20)
	s := Measure(d.trace())
	require.Len(t, s.Blobs, 1)
	blob := s.Blobs[0]
	// 1500 exp(-x²/2sd²) >= 400: |x| <= 33.
	require.InDelta(t, at-33, blob.Start, 6)
	require.InDelta(t, at+33, blob.End, 6)
	for i, b := range s.Bases {
		require.Equal(t, d.at[i] >= blob.Start && d.at[i] < blob.End, b.Blob, "base %d", i)
	}
}

// The usable stretch ends where peaks give way to noise, and begins behind it.
func TestUsable(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	d := draw(shuffled(rng, 400), 3)
	for c := range d.samples {
		for i := range d.samples[c] {
			if i < d.at[30]-6 || i >= d.at[300]-6 {
				d.samples[c][i] = 0
			}
			d.samples[c][i] += 20 * rng.Float64()
		}
	}
	u := Measure(d.trace()).Usable
	require.InDelta(t, 30, u.Start, 3)
	require.InDelta(t, 300, u.End, 3)
}

// A failed reaction has no usable stretch to speak of, the usual reads nearly
// all of theirs, a mixture of two templates too.
func TestUsableOfSimulatedReads(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	for range 10 {
		s := Measure(simulate.Read(rng, nil, simulate.Failed()))
		require.Less(t, s.Usable.Len(), 60)
		a, b := simulate.RandomSequence(rng, 600), simulate.RandomSequence(rng, 600)
		for _, p := range []simulate.Params{simulate.Good(), simulate.Fair()} {
			s = Measure(simulate.Read(rng, a, p))
			require.Less(t, s.Usable.Start, 40)
			require.InDelta(t, 600, s.Usable.End, 25)
		}
		tr, _ := simulate.Mixture(rng, []simulate.Template{{Seq: a, Weight: 0.6}, {Seq: b, Weight: 0.4}}, simulate.Good())
		require.Greater(t, Measure(tr).Usable.Len(), 500)
	}
}

// Behind a run the signal may fade or fall apart; behind most it goes on.
func TestLoss(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	bases := shuffled(rng, 300)
	copy(bases[150:], slices.Repeat([]byte{'T'}, 10))
	bases[149], bases[160] = 'G', 'C'
	require.Zero(t, Measure(draw(bases, 3).trace()).Lost)

	faded := draw(bases, 3)
	for c := range faded.samples {
		for i := faded.at[160] - 6; i < len(faded.samples[c]); i++ {
			faded.samples[c][i] *= 0.15
		}
	}
	want := seqqc.SignalLoss{After: 160, Run: 10, Base: 'T'}
	require.Equal(t, want, Measure(faded.trace()).Lost)

	slipped := draw(bases, 3)
	for i := 160; i < len(bases)-1; i++ {
		slipped.add(bases[i], float64(slipped.at[i+1]), 600)
	}
	require.Equal(t, want, Measure(slipped.trace()).Lost)
}

// Simulated slips behind a run of 14: the loss is seen in most reads.
func TestLossOfSimulatedReads(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	p := simulate.Good()
	p.Slip, p.RunLoss = 0.15, 0.1
	seen := 0
	for range 20 {
		seq := shuffled(rng, 600)
		copy(seq[250:], slices.Repeat([]byte{'A'}, 14))
		seq[249], seq[264] = 'C', 'G'
		if lost := Measure(simulate.Read(rng, seq, p)).Lost; lost.Run > 0 {
			require.InDelta(t, 264, lost.After, 8)
			require.Equal(t, byte('A'), lost.Base)
			seen++
		}
	}
	t.Logf("loss seen in %d of 20 reads", seen)
	require.GreaterOrEqual(t, seen, 15)
}
