package demo_test

import (
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
	"forayseq/seqqc/simulate"
	"forayseq/seqqc/trace"
)

// look is what a stretch of a read looks like.
type look struct {
	spacing  float64 // mean distance of peaks, in samples
	scatter  float64 // standard deviation of these distances
	heightCV float64 // standard deviation of peak heights over their mean
	second   float64 // median of the second channel over the first at a peak
	quality  float64 // mean
}

func lookAt(t *seqqc.Trace, from, to int) look {
	var l look
	var gaps, heights, seconds []float64
	for i := from; i < to; i++ {
		gaps = append(gaps, float64(t.Peaks[i+1]-t.Peaks[i]))
		var v []int32
		for _, ch := range t.Channels {
			v = append(v, ch[t.Peaks[i]])
		}
		slices.Sort(v)
		heights = append(heights, float64(v[3]))
		seconds = append(seconds, float64(v[2])/max(1, float64(v[3])))
		l.quality += float64(t.Quals[i]) / float64(to-from)
	}
	var mean float64
	l.spacing, l.scatter = meanAndSD(gaps)
	mean, l.heightCV = meanAndSD(heights)
	l.heightCV /= max(1, mean)
	slices.Sort(seconds)
	l.second = seconds[len(seconds)/2]
	return l
}

func meanAndSD(v []float64) (mean, sd float64) {
	for _, x := range v {
		mean += x / float64(len(v))
	}
	for _, x := range v {
		sd += (x - mean) * (x - mean) / float64(len(v))
	}
	return mean, math.Sqrt(sd)
}

// The preset Good must look like a good read of an instrument: its figures lie
// within the range of the good ones (mean quality of at least 40 over calls
// 100 to 500) among 26 fungal ITS reads of a 3730xl, with a margin; of the poor
// start only the quality is compared. Source:
// sgraham9319/SubalpineMyco at 488d9e32, Data/bioassay, MIT.
func TestGoodLooksLikeRealReads(t *testing.T) {
	dir := os.Getenv("FORAYSEQ_OPEN_DATA")
	if dir == "" {
		t.Skip("FORAYSEQ_OPEN_DATA is not set: no open data to check against")
	}
	names, err := filepath.Glob(filepath.Join(dir, "abif", "fungal_its1f", "*.ab1"))
	require.NoError(t, err)
	require.Len(t, names, 26)
	stretches := [][2]int{{0, 30}, {30, 50}, {100, 200}, {300, 400}, {450, 520}}
	seen := make([][]look, len(stretches))
	for _, name := range names {
		f, err := os.Open(name)
		require.NoError(t, err)
		tr, err := trace.DecodeABIF(f, trace.Limits{})
		require.NoError(t, f.Close())
		require.NoError(t, err, name)
		if len(tr.Bases) < 560 || lookAt(tr, 100, 500).quality < 40 {
			continue
		}
		for i, s := range stretches {
			seen[i] = append(seen[i], lookAt(tr, s[0], s[1]))
		}
	}
	require.Greater(t, len(seen[0]), 8, "good real reads")
	rng := rand.New(rand.NewPCG(17, 4))
	for i, s := range stretches {
		const reads = 20
		var mean look
		for range reads {
			l := lookAt(simulate.Read(rng, simulate.RandomSequence(rng, 800), simulate.Good()), s[0], s[1])
			mean.spacing += l.spacing / reads
			mean.scatter += l.scatter / reads
			mean.heightCV += l.heightCV / reads
			mean.second += l.second / reads
			mean.quality += l.quality / reads
		}
		for _, c := range []struct {
			what   string
			of     func(look) float64
			margin float64 // beyond the real range
		}{
			{"spacing", func(l look) float64 { return l.spacing }, 0.3},
			{"scatter of spacing", func(l look) float64 { return l.scatter }, 0.1},
			{"spread of heights", func(l look) float64 { return l.heightCV }, 0.05},
			{"second over first channel", func(l look) float64 { return l.second }, 0.01},
			{"mean quality", func(l look) float64 { return l.quality }, 3},
		} {
			if s[1] < 100 && c.what != "mean quality" {
				continue
			}
			var figures []float64
			for _, l := range seen[i] {
				figures = append(figures, c.of(l))
			}
			lo, hi := slices.Min(figures), slices.Max(figures)
			got := c.of(mean)
			t.Logf("calls %d-%d, %s: %.3f, real %.3f to %.3f (%d reads)", s[0], s[1], c.what, got, lo, hi, len(figures))
			if got < lo-c.margin || got > hi+c.margin {
				t.Errorf("calls %d-%d: %s is %.3f, of real reads %.3f to %.3f", s[0], s[1], c.what, got, lo, hi)
			}
		}
	}
}
