package trim

import (
	"math"
	"slices"

	"forayseq/align"
	"forayseq/seqqc"
)

// unit is one error in fixed point. Error probabilities are summed as whole
// numbers of 1/unit, so that equal sums are equal on every machine.
const unit = 1 << 32

// errorUnits gives the error probability of each Phred value in units:
// 10^(-q/10) (Ewing & Green 1998, Genome Research 8: 186-194).
var errorUnits = func() (t [256]int64) {
	for q := range t {
		t[q] = int64(math.Round(unit * math.Pow(10, -float64(q)/10)))
	}
	return t
}()

// Window gives the stretch of a read with the largest sum of (limit - error
// probability), empty where no base has an error probability below limit. Of
// equal sums the longest stretch wins, then the leftmost.
//
// It is the maximum-sum subarray, found in one pass (Bentley 1984,
// Communications of the ACM 27: 865-873, DOI 10.1145/358234.381162): with
// v(i) = limit - e(i), the best sum of a stretch that ends at i is
//
//	s(i) = v(i) + max(0, s(i-1))
func Window(quals []byte, limit float64) seqqc.Interval {
	lim := int64(math.Round(unit * limit))
	var best seqqc.Interval
	var bestSum, sum int64
	start := 0
	for i, q := range quals {
		// A sum of exactly zero is carried on: same sum, longer stretch.
		if sum < 0 {
			sum, start = 0, i
		}
		sum += lim - errorUnits[q]
		here := seqqc.Interval{Start: start, End: i + 1}
		if sum > bestSum || sum == bestSum && sum > 0 && here.Len() > best.Len() {
			best, bestSum = here, sum
		}
	}
	return best
}

// clearEnds cuts v back until each end's outermost size bases hold at most
// most codes other than A, C, G and T. Each cut takes the end up to and with
// its outermost ambiguous base, so no more goes than must. Where no A, C, G or T
// is left, nothing is.
func clearEnds(bases []byte, v seqqc.Interval, size, most int) seqqc.Interval {
	for {
		first, n := -1, 0
		for i := v.Start; i < min(v.Start+size, v.End); i++ {
			if !align.Plain(bases[i]) {
				if n++; first < 0 {
					first = i
				}
			}
		}
		if n <= most {
			break
		}
		v.Start = first + 1
	}
	for {
		last, n := -1, 0
		for i := v.End - 1; i >= max(v.End-size, v.Start); i-- {
			if !align.Plain(bases[i]) {
				if n++; last < 0 {
					last = i
				}
			}
		}
		if n <= most {
			break
		}
		v.End = last
	}
	if !slices.ContainsFunc(bases[v.Start:v.End], align.Plain) {
		return seqqc.Interval{Start: v.Start, End: v.Start}
	}
	return v
}
