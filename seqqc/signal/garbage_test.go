package signal

import (
	"encoding/binary"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
)

// What is no trace gives no evidence, and a note that says why.
func TestUnusableTraces(t *testing.T) {
	bases := slices.Repeat([]byte("ACGT"), 10)
	edited := func(change func(*seqqc.Trace)) *seqqc.Trace {
		tr := draw(bases, 3).trace()
		change(tr)
		return tr
	}
	each := func(tr *seqqc.Trace, f func(int32) int32) {
		for c := range tr.Channels {
			for i, v := range tr.Channels[c] {
				tr.Channels[c][i] = f(v)
			}
		}
	}
	for _, c := range []struct {
		what, note string
		seen       bool // whether peaks are told all the same
		t          *seqqc.Trace
	}{
		{"no positions", "without peak positions", false, edited(func(tr *seqqc.Trace) { tr.Peaks = nil })},
		{"too few positions", "without peak positions", false, edited(func(tr *seqqc.Trace) { tr.Peaks = tr.Peaks[:9] })},
		{"short", "shorter than the sequence", false, edited(func(tr *seqqc.Trace) {
			for c := range tr.Channels {
				tr.Channels[c] = tr.Channels[c][:30]
			}
		})},
		{"a missing channel", "shorter than the sequence", false, edited(func(tr *seqqc.Trace) { tr.Channels[2] = nil })},
		{"a short channel", "differ in length", true, edited(func(tr *seqqc.Trace) { tr.Channels[2] = tr.Channels[2][:490] })},
		{"all zero", "no signal at all", false, edited(func(tr *seqqc.Trace) { each(tr, func(int32) int32 { return 0 }) })},
		{"all alike", "no signal at all", false, edited(func(tr *seqqc.Trace) { each(tr, func(int32) int32 { return -7 }) })},
		{"one channel constant", "a channel is constant", true, edited(func(tr *seqqc.Trace) {
			for i := range tr.Channels[1] {
				tr.Channels[1][i] = 5
			}
		})},
		{"off the trace", "run backwards or off", true, edited(func(tr *seqqc.Trace) { tr.Peaks[39], tr.Peaks[0] = 1e9, -4 })},
		{"out of order", "run backwards or off", true, edited(func(tr *seqqc.Trace) { slices.Reverse(tr.Peaks) })},
		{"extreme", "", true, edited(func(tr *seqqc.Trace) {
			each(tr, func(v int32) int32 {
				if v > 500 {
					return math.MaxInt32
				}
				return math.MinInt32
			})
		})},
	} {
		s := Measure(c.t)
		require.Len(t, s.Bases, len(bases), c.what)
		if c.note == "" {
			require.Empty(t, s.Notes, c.what)
		} else {
			require.Len(t, s.Notes, 1, c.what)
			require.Contains(t, s.Notes[0], c.note, c.what)
		}
		require.Equal(t, c.seen, hasPeaks(s), c.what)
		require.Equal(t, c.seen, Qualities(c.t, s) != nil, c.what)
		sound(t, c.t, s)
	}
	require.Nil(t, Measure(nil))
	require.Nil(t, Measure(&seqqc.Trace{Bases: bases}))
	require.Nil(t, Measure(&seqqc.Trace{Channels: draw(bases, 3).trace().Channels}))
	require.Nil(t, Qualities(&seqqc.Trace{Bases: bases}, nil))
}

// sound checks what holds of any evidence.
func sound(t *testing.T, tr *seqqc.Trace, s *seqqc.Signal) {
	t.Helper()
	n := len(tr.Bases)
	require.Len(t, s.Bases, n)
	require.True(t, s.Usable.Empty() || s.Usable.Start >= 0 && s.Usable.End <= n)
	finite := func(v float64) {
		t.Helper()
		require.False(t, math.IsNaN(v) || math.IsInf(v, 0))
	}
	for _, b := range s.Bases {
		for _, h := range b.Heights {
			finite(float64(h))
			require.GreaterOrEqual(t, h, float32(0))
		}
		for _, v := range []float32{b.Ratio, b.Before, b.After, b.Spacing, b.Width, b.Noise, b.Primary.Area, b.Secondary.Area} {
			finite(float64(v))
		}
		require.GreaterOrEqual(t, b.Primary.Height, b.Secondary.Height)
		require.True(t, b.Ratio >= 0 && b.Ratio <= 1)
		require.True(t, b.At >= 0 && b.At <= len(tr.Channels[0]))
	}
	for c := range 4 {
		finite(s.Baseline[c])
		finite(s.Noise[c])
		for _, v := range s.Crosstalk[c] {
			require.True(t, v >= 0 && v <= 1)
		}
	}
	for _, list := range [][]seqqc.Interval{s.Blobs, s.Clipped} {
		for k, v := range list {
			require.False(t, v.Empty())
			require.True(t, k == 0 || list[k-1].End < v.Start)
		}
	}
	if quals := Qualities(tr, s); quals != nil {
		require.Len(t, quals, n)
		require.LessOrEqual(t, slices.Max(quals), byte(MostQuality))
	}
}

// FuzzMeasure feeds bytes as samples, positions and letters.
func FuzzMeasure(f *testing.F) {
	tr := draw([]byte("ACGTTT"), 3).trace()
	var samples []byte
	for i := range tr.Channels[0] {
		for c := range tr.Channels {
			samples = binary.BigEndian.AppendUint32(samples, uint32(tr.Channels[c][i]))
		}
	}
	var peaks []byte
	for _, p := range tr.Peaks {
		peaks = binary.BigEndian.AppendUint16(peaks, uint16(p))
	}
	f.Add(samples, peaks, string(tr.Bases))
	f.Add(samples, peaks[:6], "NNN")
	f.Add([]byte{}, []byte{}, "A")
	f.Fuzz(func(t *testing.T, samples, peaks []byte, bases string) {
		tr := &seqqc.Trace{Bases: []byte(bases)}
		for ; len(samples) >= 16; samples = samples[16:] {
			for c := range tr.Channels {
				tr.Channels[c] = append(tr.Channels[c], int32(binary.BigEndian.Uint32(samples[4*c:])))
			}
		}
		for ; len(peaks) >= 2; peaks = peaks[2:] {
			tr.Peaks = append(tr.Peaks, int(int16(binary.BigEndian.Uint16(peaks))))
		}
		if s := Measure(tr); s != nil {
			sound(t, tr, s)
		}
	})
}
