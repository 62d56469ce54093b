package trim

import (
	"slices"

	"forayseq/align"
	"forayseq/seqqc"
)

// measure gives the figures of the kept stretch of t. quals tells whether the
// qualities of t say anything.
func measure(t *seqqc.Trace, kept seqqc.Interval, quals bool) seqqc.ReadStats {
	s := seqqc.ReadStats{Bases: len(t.Bases), KeptBases: kept.Len(), Qualities: quals}
	if kept.Empty() {
		return s
	}
	for _, c := range t.Bases[kept.Start:kept.End] {
		if c == 'N' {
			s.Ns++
		}
	}
	if quals {
		var sum, errors int64
		for _, q := range t.Quals[kept.Start:kept.End] {
			sum += int64(q)
			errors += errorUnits[q]
			if q >= 20 {
				s.Q20++
			}
			if q >= 30 {
				s.Q30++
			}
		}
		s.MeanQuality = float64(sum) / float64(kept.Len())
		s.PredictedErrors = float64(errors) / unit
	}
	s.SignalToNoise = signalToNoise(t, kept)
	return s
}

// signalToNoise gives the median, over the kept calls of A, C, G and T, of
// the called channel's height over that of the highest other channel at the
// peak. A height below 1 counts as 1: a channel at or below its zero line
// is silent, and a ratio to it would have no bound. Zero where there are no
// channels.
func signalToNoise(t *seqqc.Trace, kept seqqc.Interval) float64 {
	if !t.HasChannels() {
		return 0
	}
	var ratios []float64
	for i := kept.Start; i < kept.End; i++ {
		called := channelOf(t.Bases[i])
		if called < 0 {
			continue
		}
		var signal, noise int32 = 1, 1
		for c, heights := range t.Channels {
			at := t.Peaks[i]
			switch {
			case at < 0 || at >= len(heights): // a position outside the trace says nothing
			case c == called:
				signal = max(signal, heights[at])
			default:
				noise = max(noise, heights[at])
			}
		}
		ratios = append(ratios, float64(signal)/float64(noise))
	}
	if len(ratios) == 0 {
		return 0
	}
	slices.Sort(ratios)
	n := len(ratios)
	return (ratios[(n-1)/2] + ratios[n/2]) / 2
}

// channelOf gives the index in Trace.Channels of a base, -1 for another code.
func channelOf(base byte) int {
	switch base {
	case 'A':
		return 0
	case 'C':
		return 1
	case 'G':
		return 2
	case 'T':
		return 3
	}
	return -1
}

func countAmbiguous(bases []byte) int {
	n := 0
	for _, c := range bases {
		if !align.Plain(c) {
			n++
		}
	}
	return n
}
