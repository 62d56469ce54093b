package signal

import (
	"cmp"
	"slices"

	"forayseq/seqqc"
)

// findClipped finds where a channel stays at its highest value for at least
// four samples and falls off steeply on both sides: the cut top of a peak. A
// broad, low hump has a flat top too, but no corners.
func (m *measure) findClipped(t *seqqc.Trace) {
	const least, corner = 4, 0.95
	n := len(m.y[0])
	for _, ch := range t.Channels {
		ch = ch[:n]
		top := slices.Max(ch)
		if top <= 0 {
			continue
		}
		for from := 0; from < n; from++ {
			if ch[from] != top {
				continue
			}
			to := from
			for to < n && ch[to] == top {
				to++
			}
			before, behind := max(0, from-2), min(n-1, to+1)
			if to-from >= least && float64(ch[before]) < corner*float64(top) && float64(ch[behind]) < corner*float64(top) {
				m.out.Clipped = append(m.out.Clipped, seqqc.Interval{Start: from, End: to})
			}
			from = to
		}
	}
	m.out.Clipped = merged(m.out.Clipped)
}

func (m *measure) clippedAt(t int) bool { return within(m.out.Clipped, t) }

// within reports whether t lies in one of the intervals, which are in order.
func within(list []seqqc.Interval, t int) bool {
	k, found := slices.BinarySearchFunc(list, t, func(v seqqc.Interval, t int) int { return cmp.Compare(v.Start, t) })
	return found || k > 0 && t < list[k-1].End
}

// merged gives the intervals in order, those that meet as one.
func merged(list []seqqc.Interval) []seqqc.Interval {
	slices.SortFunc(list, func(a, b seqqc.Interval) int { return cmp.Compare(a.Start, b.Start) })
	var out []seqqc.Interval
	for _, v := range list {
		if k := len(out) - 1; k >= 0 && v.Start <= out[k].End {
			out[k].End = max(out[k].End, v.End)
		} else {
			out = append(out, v)
		}
	}
	return out
}

// A base stands out where its primary peak is a summit of at least faint of
// the read's usual height and the third channel is small beside it: a mixture
// of two templates shows two peaks, noise shows four. A place is usable where
// standOutShare of the bases within extent do; the usable stretch is the run in
// which usable places outnumber the others by most. Common practice, no
// source.
const (
	faint         = 0.1
	thirdChannel  = 0.35
	standOutShare = 0.6
	extent        = 10
)

// findUsable sets out.Usable.
func (m *measure) findUsable() {
	n := len(m.called)
	tops := make([]float32, n)
	for i, b := range m.out.Bases {
		tops[i] = b.Primary.Height
	}
	usual := quantile(tops, 0.9)
	before := make([]int, n+1) // bases that stand out before each base
	for i, b := range m.out.Bases {
		before[i+1] = before[i]
		h := b.Primary.Height
		if b.Primary.Shape == seqqc.Summit && h >= faint*usual && third(b.Heights) <= thirdChannel*h {
			before[i+1]++
		}
	}
	best, sum, from := 0, 0, 0
	for i := range n {
		if sum <= 0 {
			sum, from = 0, i
		}
		lo, hi := max(0, i-extent), min(n, i+extent+1)
		if float64(before[hi]-before[lo]) >= standOutShare*float64(hi-lo) {
			sum++
		} else {
			sum--
		}
		if sum > best {
			best, m.out.Usable = sum, seqqc.Interval{Start: from, End: i + 1}
		}
	}
	// The stretch does not begin or end with bases that are none themselves.
	u := &m.out.Usable
	for !u.Empty() && before[u.Start] == before[u.Start+1] {
		u.Start++
	}
	for !u.Empty() && before[u.End-1] == before[u.End] {
		u.End--
	}
}

// Dye that was not taken up runs with fragments of up to some blobBases bases
// and shows as humps broader than peaks. Common practice, no source.
const (
	blobBases  = 150
	blobWidth  = 2.5 // spacings that a hump covers at least
	blobHeight = 0.4 // of the usual height of peaks
	blobFilled = 0.7 // a summit or call for so much of it: a run of one base
)

// findBlobs sets out.Blobs and the bases on them: stretches in which a channel
// stays above blobHeight for longer than a peak takes. A run of one base does
// so too, but has a summit or a call for each base.
func (m *measure) findBlobs() {
	last := min(len(m.at)-1, blobBases)
	end := min(len(m.y[0]), m.at[last]+1)
	tops := make([]float32, len(m.out.Bases))
	for i, b := range m.out.Bases {
		tops[i] = b.Primary.Height
	}
	least := blobHeight * quantile(tops, 0.5)
	if least <= 0 {
		return
	}
	spacing := m.out.Spacing
	for c := range m.y {
		y := m.y[c][:end]
		for from := 0; from < end; from++ {
			to := from
			for to < end && y[to] >= least {
				to++
			}
			length := float64(to - from)
			if length >= blobWidth*spacing && float64(max(summitsIn(y, from, to), m.calls(int8(c), from, to))) < blobFilled*length/spacing {
				m.out.Blobs = append(m.out.Blobs, seqqc.Interval{Start: from, End: to})
			}
			from = to
		}
	}
	m.out.Blobs = merged(m.out.Blobs)
	for i := range m.out.Bases {
		m.out.Bases[i].Blob = within(m.out.Blobs, m.at[i])
	}
}

// summitsIn counts the local maxima of y in [from, to).
func summitsIn(y []float32, from, to int) int {
	n := 0
	for t := max(1, from); t < min(to, len(y)-1); t++ {
		if y[t] > y[t-1] && y[t] >= y[t+1] {
			n++
		}
	}
	return n
}

// calls counts the calls of channel c at samples [from, to).
func (m *measure) calls(c int8, from, to int) int {
	i, _ := slices.BinarySearch(m.at, from)
	n := 0
	for ; i < len(m.at) && m.at[i] < to; i++ {
		if m.called[i] == c {
			n++
		}
	}
	return n
}

// Behind a long run of one base the polymerase may stop or slip; what follows
// is faint, or several sequences over one another. Common practice, no source.
const (
	lossRun    = 7   // bases of one letter
	lossWindow = 25  // bases compared on either side
	lossHeight = 0.3 // of the height before
	lossShare  = 0.3 // second channel over first, at least twice that before
)

// findLoss sets out.Lost at the first run behind which the signal breaks off.
func (m *measure) findLoss() {
	n := len(m.called)
	for from := 0; from < n; {
		to := from + 1
		for to < n && m.called[to] == m.called[from] {
			to++
		}
		if m.called[from] != none && to-from >= lossRun && from >= lossWindow && to+lossWindow/2 <= n && m.lostBetween(from, to) {
			m.out.Lost = seqqc.SignalLoss{After: to, Run: to - from, Base: letters[m.called[from]]}
			return
		}
		from = to
	}
}

func (m *measure) lostBetween(from, to int) bool {
	median := func(lo, hi int) (height, share float32) {
		var heights, shares []float32
		for _, b := range m.out.Bases[lo:hi] {
			heights = append(heights, b.Primary.Height)
			v := float32(1)
			if b.Primary.Height > 0 {
				v = b.Secondary.Height / b.Primary.Height
			}
			shares = append(shares, v)
		}
		return quantile(heights, 0.5), quantile(shares, 0.5)
	}
	height, share := median(from-lossWindow, from)
	after, shareAfter := median(to, min(len(m.called), to+lossWindow))
	return after < lossHeight*height || shareAfter >= lossShare && shareAfter >= 2*share
}
