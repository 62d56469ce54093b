package simulate

// A run of one base longer than this makes the polymerase slip and, in some
// templates, stop: common practice puts the trouble at eight to ten bases, no
// source.
const runLimit = 8

// maxSlip is the largest number of bases lost that is told apart; what slips
// further stays there.
const maxSlip = 4

// slippage says how the molecules of a template stand: at index k the share of
// those whose fragments are k - maxSlip bases longer than the template has it.
type slippage [maxSlip + 2]float64

var unslipped = slippage{maxSlip: 1}

// slip gives the molecules after one more base at which share of them slip.
func (s slippage) slip(share float64) slippage {
	if share <= 0 {
		return s
	}
	var out slippage
	for k, have := range s {
		out[k] += float64(have * (1 - share))
		out[max(0, k-1)] += float64(have * 0.8 * share)
		out[min(len(s)-1, k+1)] += float64(have * 0.2 * share)
	}
	return out
}
