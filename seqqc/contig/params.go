package contig

import "fmt"

// Params are the settings of assembly. Start from Defaults.
type Params struct {
	// MaxReads is the largest number of reads that are put together; of more,
	// the best are taken.
	MaxReads int
	// MinOverlapBits and MinOverlap are the least score, in bits, and the
	// least number of columns of an overlap that joins two reads.
	MinOverlapBits float64
	MinOverlap     int
	// MaxDifference is the largest share of columns in which reads of one
	// sample may differ beyond what their qualities explain.
	MaxDifference float64
	// MinPart is the least number of bases of each part of a two-part contig.
	MinPart int
	// SplitBelow: a base whose posterior probability is lower, and that has a
	// rival among the calls, becomes an ambiguity code.
	SplitBelow float64
	// AssumedQuality is the Phred value that the bases of a read without
	// qualities count as when they are weighed.
	AssumedQuality int
	// MaxQuality is the highest consensus quality given.
	MaxQuality int
	// DoubtErrorRate is the predicted error rate above which a contig is
	// flagged low_quality.
	DoubtErrorRate float64
}

// Defaults gives the default settings.
//
// MaxReads 32: each read is compared with each, some 5 ms a pair, so that a file
// of a thousand records tied to one voucher by mistake would hold up the batch
// for an hour. A sample has two reads, seldom six.
//
// MinOverlapBits 40: along one diagonal of two unrelated sequences the
// expected value of 2^score is 1, since scores are log-likelihood ratios, so
// a score of S bits turns up with probability of at most 2^-S there (Markov's
// inequality), and somewhere among the 2 x 1,400 diagonals of two reads of
// 700 bases, both strands, with at most 2800 x 2^-S. 32 bits hold that
// below one in a million; 8 more are for gaps and for bases that are not drawn
// evenly. Repeats are guarded against apart (see overlap.telling). 40 bits are
// 20 good bases in perfect agreement, or more that are not. MinOverlap 20:
// common practice, no source.
//
// MaxDifference 0.03: two strands of one PCR product differ by variable sites
// within the specimen, seldom beyond 1 or 2 % of the ITS; species differ by
// more (Nilsson et al. 2008, Evolutionary Bioinformatics 4: 193-201, for
// variation within species; the value itself is common practice, no source).
//
// MinPart 150: what a hit must compare. SplitBelow 0.95: common practice, no
// source. AssumedQuality 13 is an error probability of 5 %, worse than any stretch
// that trimming keeps of a read with qualities.
//
// MaxQuality 50: errors of two reads are counted as independent. What both
// share (an error of an early PCR cycle, a compression, a variable site) is
// not, and is not rarer than about one base in 100,000. From memory, no source;
// simulated pairs bear out Q45 and do not contradict Q50 (testdata/README.md).
func Defaults() Params {
	return Params{
		MaxReads:       32,
		MinOverlapBits: 40, MinOverlap: 20,
		MaxDifference: 0.03, MinPart: 150, SplitBelow: 0.95,
		AssumedQuality: 13, MaxQuality: 50, DoubtErrorRate: 0.01,
	}
}

// Validate reports the first setting that makes no sense.
func (p Params) Validate() error {
	for _, s := range []struct {
		name           string
		v, from, below float64
	}{
		{"largest number of reads", float64(p.MaxReads), 1, 1e4},
		{"least overlap in bits", p.MinOverlapBits, 1, 1e6},
		{"least overlap", float64(p.MinOverlap), 1, 1e6},
		{"largest share of differences", p.MaxDifference, 0, 1},
		{"least part", float64(p.MinPart), 1, 1e6},
		{"posterior probability of a base", p.SplitBelow, 0.25, 1},
		{"assumed quality", float64(p.AssumedQuality), 1, 31},
		{"largest quality", float64(p.MaxQuality), 1, 94}, // '~' in FASTQ
		{"doubtful error rate", p.DoubtErrorRate, 0, 1},
	} {
		// Written so that NaN fails.
		if !(s.v >= s.from && s.v < s.below) {
			return fmt.Errorf("contig: %s is %v, and must be at least %v and less than %v", s.name, s.v, s.from, s.below)
		}
	}
	return nil
}
