package contig

import (
	"math"
	"math/bits"

	"forayseq/align"
)

// call is what one read says in one column.
type call struct {
	// mask holds the bases the read's code stands for, gapMask for a gap.
	mask uint8
	// quality is that of the base; for a gap the lower one of the bases
	// beside it, since the doubt about a base that is not there lies with
	// them.
	quality byte
	// assumed is true where the file had no quality.
	assumed bool
}

// gapMask is the state of a column that is no base of the molecule.
const gapMask uint8 = 1 << 4

const states = 5 // A, C, G, T, nothing; bit i of a mask is state i

// verdict is the consensus of a column.
type verdict struct {
	mask    uint8 // a base set, or gapMask: the contig has nothing here
	quality byte
}

// decide gives the consensus of a column from its calls.
//
// The model is Bayes' rule with an even prior over the states and errors that
// are independent between reads and spread evenly over the wrong states
// (error probabilities as in Ewing & Green 1998, Genome Research 8: 186-194).
// For calls x(k) with error e(k), of codes for n(k) bases,
//
//	P(t | x) ~ prod_k P(x(k) | t)
//	P(x | t) = (1-e)/n        where t is one of the bases of x
//	         = e/(s-n)        elsewhere
//
// with s = 4 states, or 5 where a read has a gap here. N says nothing and is
// left out.
//
// The consensus is the likeliest state; of a base and no base that are equal,
// the base. A base below p.SplitBelow takes in the next likeliest bases that
// some read calls until together they hold that share of all called bases, and
// becomes an ambiguity code. The quality is the probability that no state of
// the consensus is true, rounded down to a whole Phred value and capped at
// p.MaxQuality. Assumed qualities never raise it above what measured ones
// alone give; where none is measured it is at most p.AssumedQuality.
func decide(calls []call, p Params) verdict {
	post, called := posterior(calls)
	if called == 0 {
		return verdict{mask: align.MaskN}
	}
	v := verdict{mask: choose(post, called, p.SplitBelow)}
	v.quality = phred(missing(post, v.mask), p.MaxQuality)

	var measured []call
	for _, c := range calls {
		if !c.assumed {
			measured = append(measured, c)
		}
	}
	if len(measured) == len(calls) {
		return v
	}
	post, called = posterior(measured)
	if called&v.mask == 0 {
		v.quality = min(v.quality, byte(p.AssumedQuality))
	} else {
		v.quality = min(v.quality, phred(missing(post, v.mask), p.MaxQuality))
	}
	return v
}

// posterior gives the probability of each state, and the states that a call
// other than N names; none called gives zeros.
func posterior(calls []call) (post [states]float64, called uint8) {
	s := 4
	for _, c := range calls {
		if c.mask == gapMask {
			s = 5
		}
	}
	for t := range s {
		post[t] = 1
	}
	for _, c := range calls {
		if c.mask == align.MaskN {
			continue
		}
		called |= c.mask
		n := bits.OnesCount8(c.mask)
		// An error as likely as picking blindly says nothing; a larger one
		// would speak against its own call.
		e := min(math.Pow(10, -float64(c.quality)/10), float64(s-n)/float64(s))
		sum := 0.0
		for t := range s {
			if c.mask&(1<<t) != 0 {
				post[t] *= (1 - e) / float64(n)
			} else {
				post[t] *= e / float64(s-n)
			}
			sum += post[t]
		}
		// Normalised at every call, so that deep columns do not underflow.
		for t := range s {
			post[t] /= sum
		}
	}
	if called == 0 {
		return [states]float64{}, 0
	}
	return post, called
}

// rounding is the relative difference below which two posteriors are equal:
// the factors are multiplied in an order that differs by strand.
const rounding = 1e-9

// choose gives the consensus states among those called.
func choose(post [states]float64, called uint8, splitBelow float64) uint8 {
	bases, total := uint8(0), 0.0
	best := 0.0
	for t := range 4 {
		if called&(1<<t) != 0 {
			total += post[t]
			best = max(best, post[t])
		}
	}
	if called&gapMask != 0 && post[4] > best*(1+rounding) {
		return gapMask
	}
	if best >= splitBelow {
		splitBelow = 0 // the best alone
	}
	// Equal bases are taken in together: the choice must not depend on
	// letters, which change on the other strand.
	for sum := 0.0; ; {
		next := -1.0
		for t := range 4 {
			if called&^bases&(1<<t) != 0 {
				next = max(next, post[t])
			}
		}
		if next < 0 {
			return bases
		}
		for t := range 4 {
			if called&^bases&(1<<t) != 0 && post[t] >= next*(1-rounding) {
				bases |= 1 << t
				sum += post[t]
			}
		}
		if sum >= splitBelow*total {
			return bases
		}
	}
}

// missing gives the probability of the states outside mask. It is summed, not
// taken from one, so that small ones are exact.
func missing(post [states]float64, mask uint8) float64 {
	sum := 0.0
	for t, v := range post {
		if mask&(1<<t) == 0 {
			sum += v
		}
	}
	return sum
}

// phred gives the quality of an error probability, rounded down.
func phred(e float64, highest int) byte {
	if e <= 0 {
		return byte(highest)
	}
	// 1e-6 of a unit forgives rounding, so that a lone call keeps its quality.
	q := math.Floor(-10*math.Log10(e) + 1e-6)
	return byte(max(0, min(float64(highest), q)))
}
