package doubts

import (
	"math"
	"slices"

	"forayseq/seqqc"
)

const (
	// reach is how many calls a window shows on each side of the place.
	reach = 6
	// pointsPerBase is how finely a window is resampled: a peak is about twice as
	// wide as it is high at half its height, so six points a base draw it
	// without a corner that can be seen.
	pointsPerBase = 6
	// full is the width of a window, in the units of PeakBase.X.
	full = 1000
)

// strand says what a read shows at a place; false where the read does not lie
// there.
func (m maker) strand(p *place, placed seqqc.ReadPlacement) (Strand, bool) {
	s := Strand{File: placed.File, Complemented: placed.Complemented}
	read := m.reads(placed.File)
	if read != nil {
		s.Primer = read.Primer
	}
	told := false
	if p.disagreement != nil {
		for _, call := range p.disagreement.Calls {
			if call.File == placed.File {
				s.At, s.Call, s.Quality, told = call.At, call.Base, call.Quality, true
				s.Qualities = true
			}
		}
	}
	if !told {
		at, ok := m.contig.Over(placed.File, p.at, !p.present)
		if !ok || read == nil || read.Trace == nil || at < 0 || at >= len(read.Trace.Bases) {
			return Strand{}, false
		}
		s.At, s.Call = at, turned(string(read.Trace.Bases[at]), placed.Complemented)
	}
	if read == nil || read.Trace == nil || s.At < 0 || s.At >= len(read.Trace.Bases) {
		return s, told
	}
	here := seqqc.PlaceIn(read, s.At)
	s.Place = &here
	s.Qualities = read.Trace.HasQuals()
	if s.Qualities && !told {
		s.Quality = int(read.Trace.Quals[s.At])
	}
	if s.Call != noBase {
		s.Major, s.Minor, s.MinorPct = twoPeaks(read, s.At, placed.Complemented)
	}
	s.Peaks = window(read, s.At, s.Call == noBase, placed.Complemented)
	return s, true
}

// twoPeaks gives the highest peak of a base and the next one that stands out of
// the noise, in contig direction.
func twoPeaks(r *seqqc.Read, at int, complemented bool) (major, minor string, minorPct float64) {
	if r.Signal == nil || at >= len(r.Signal.Bases) {
		return "", "", 0
	}
	b := r.Signal.Bases[at]
	if b.Primary.Base == 0 {
		return "", "", 0
	}
	major = turned(string(b.Primary.Base), complemented)
	if b.Ratio > 0 && b.Secondary.Base != 0 {
		minor = turned(string(b.Secondary.Base), complemented)
		minorPct = 100 * float64(b.Secondary.Height) / float64(b.Primary.Height+b.Secondary.Height)
	}
	return major, minor, minorPct
}

// window cuts the trace around base at of a read and turns it into contig
// direction. between is true where the doubt lies between that base and the
// next one in contig direction. It is nil where there is no trace.
func window(r *seqqc.Read, at int, between, complemented bool) *Peaks {
	first, end := max(0, at-reach), min(len(r.Trace.Bases), at+reach+1)
	w := Stretch(r, seqqc.Interval{Start: first, End: end}, complemented)
	if w == nil {
		return nil
	}
	if r.Signal != nil && at < len(r.Signal.Bases) {
		w.Noise = int(math.Round(min(PeakTop, float64(r.Signal.Bases[at].Noise)/w.top*PeakTop)))
	}
	here, next := at-first, at-first+1
	if complemented {
		here = end - 1 - at
		next = here + 1 // the contig's next base is the read's one before
	}
	w.Mark = w.Bases[here].X
	switch {
	case !between:
		w.Bases[here].Doubt = true
	case next < len(w.Bases):
		w.Mark = (w.Mark + w.Bases[next].X) / 2
	}
	return w
}

// Stretch cuts the trace over some bases out of a read; complemented turns it
// over. It is nil where there is no trace.
func Stretch(r *seqqc.Read, over seqqc.Interval, complemented bool) *Peaks {
	t := r.Trace
	if t == nil || !t.HasChannels() || over.Empty() || over.Start < 0 || over.End > len(t.Bases) {
		return nil
	}
	first, last := over.Start, over.End-1
	spacing := 1.0
	if last > first {
		spacing = float64(t.Peaks[last]-t.Peaks[first]) / float64(last-first)
	}
	end := float64(len(t.Channels[0]) - 1)
	from := max(0, float64(t.Peaks[first])-spacing*2/3)
	to := min(end, float64(t.Peaks[last])+spacing*2/3)
	if to <= from {
		return nil
	}
	w := &Peaks{}
	var heights [4][]int
	heights, w.top = resample(r, from, to, over.Len()*pointsPerBase+1)
	channels := [4]*[]int{&w.A, &w.C, &w.G, &w.T}
	for k, points := range heights {
		if complemented {
			slices.Reverse(points)
			k = 3 - k // A is over T, C over G
		}
		*channels[k] = points
	}
	for i := first; i <= last; i++ {
		x := int(math.Round(full * (float64(t.Peaks[i]) - from) / (to - from)))
		if complemented {
			x = full - x
		}
		b := PeakBase{X: min(full, max(0, x)), Base: turned(string(t.Bases[i]), complemented)}
		if len(t.Quals) == len(t.Bases) {
			b.Quality = int(t.Quals[i])
		}
		w.Bases = append(w.Bases, b)
	}
	if complemented {
		slices.Reverse(w.Bases)
	}
	return w
}

// resample gives n points of each channel between two samples, as heights above
// the baseline from 0 to PeakTop, and the height of the top in trace units.
func resample(r *seqqc.Read, from, to float64, n int) (out [4][]int, top float64) {
	var raw [4][]float64
	top = 1
	for k, channel := range r.Trace.Channels {
		base := 0.0
		if r.Signal != nil {
			base = r.Signal.Baseline[k]
		}
		for i := range n {
			at := from + (to-from)*float64(i)/float64(n-1)
			lo := min(int(at), len(channel)-1)
			hi := min(lo+1, len(channel)-1)
			part := at - float64(lo)
			h := max(0, float64(channel[lo])*(1-part)+float64(channel[hi])*part-base)
			raw[k] = append(raw[k], h)
			top = max(top, h)
		}
	}
	for k := range raw {
		for _, h := range raw[k] {
			out[k] = append(out[k], int(math.Round(h/top*PeakTop)))
		}
	}
	return out, top
}
