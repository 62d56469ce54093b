package contig

import "math"

// heightSpread is the standard deviation of the logarithm of the ratio of two
// peaks of equal amounts: heights along a read spread by 0.27 to 0.31 of their
// mean (the good ones of 26 reads of a 3730xl), the ratio of two by root two
// more.
const heightSpread = 0.4

// doubtMixed lowers the qualities of the calls whose peak stands over another
// one. Which of two templates is the larger is told by the ratio r of the
// peaks, no better than heights spread: it is the other one with probability
//
//	P = erfc(-ln r / (heightSpread sqrt 2)) / 2
//
// testdata/README.md shows what this is worth. Sharing the doubt out among the
// bases by the heights of their peaks was tried, and brought nothing.
func (w *row) doubtMixed() {
	s := w.read.Signal
	if s == nil || w.assumed || len(s.Bases) != len(w.read.Trace.Bases) {
		return
	}
	for i := range w.quals {
		if r := float64(s.Bases[w.read.Kept.Start+i].Ratio); r > 0 {
			w.quals[i] = min(w.quals[i], phred(math.Erfc(-math.Log(r)/(heightSpread*math.Sqrt2))/2, math.MaxUint8))
		}
	}
}
