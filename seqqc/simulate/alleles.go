package simulate

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"forayseq/align"
	"forayseq/seqqc"
)

// Indel is a stretch of bases that one of two alleles has and the other lacks.
type Indel struct {
	// At is the place in the shorter allele before which the bases stand in
	// the longer one, and Size their number.
	At, Size int
	// Same are the places that would do as well: where a repeat stands beside
	// the bases, another copy may be the one that is extra. At lies in Same.
	Same seqqc.Interval
}

// Substituted gives seq with n bases changed, all in different places of
// [from, to), and these places in order. The error says that there are not n.
func Substituted(rng *rand.Rand, seq []byte, n int, within seqqc.Interval) (allele []byte, at []int, err error) {
	if within.Start < 0 || within.End > len(seq) || n < 0 || n > within.Len() {
		return nil, nil, fmt.Errorf("no %d bases to change within %d to %d of %d", n, within.Start, within.End, len(seq))
	}
	allele = slices.Clone(seq)
	for len(at) < n {
		i := within.Start + int(uniform(rng)*float64(within.Len()))
		if slices.Contains(at, i) {
			continue
		}
		allele[i] = substitute(rng, seq[i])
		at = append(at, i)
	}
	slices.Sort(at)
	return allele, at, nil
}

// Lengthened gives seq with size bases put in before at: half of the time a
// copy of the bases before it, as slips in a repeat leave, else random ones.
// The error says that there is no such place.
func Lengthened(rng *rand.Rand, seq []byte, at, size int) (longer []byte, indel Indel, err error) {
	if at < 0 || at > len(seq) || size < 1 {
		return nil, Indel{}, fmt.Errorf("no place for %d bases before %d of %d", size, at, len(seq))
	}
	extra := RandomSequence(rng, size)
	if at >= size && rng.Uint64()>>63 == 0 {
		extra = seq[at-size : at]
	}
	longer = slices.Concat(seq[:at], extra, seq[at:])
	return longer, Indel{At: at, Size: size, Same: slide(longer, at, size)}, nil
}

// slide gives the places at which taking size bases out of seq gives the same
// sequence as taking them out at at.
func slide(seq []byte, at, size int) seqqc.Interval {
	v := seqqc.Interval{Start: at, End: at + 1}
	for v.Start > 0 && seq[v.Start-1] == seq[v.Start-1+size] {
		v.Start--
	}
	for v.End-1+size < len(seq) && seq[v.End-1] == seq[v.End-1+size] {
		v.End++
	}
	return v
}

// Chimera gives the PCR product that begins as a and, from the place in b that
// is homologous to at in a, goes on as b: an unfinished strand of a that primed
// on b. Both are on one strand, and overlap in an alignment that reaches at;
// the error says that they do not.
func Chimera(a, b []byte, at int) ([]byte, error) {
	al, err := align.Overlap(a, b, align.ITS)
	if err != nil {
		return nil, err
	}
	i, j := al.AStart, al.BStart
	if at < i {
		return nil, fmt.Errorf("the two sequences do not overlap at %d", at)
	}
	for _, run := range al.Runs {
		step := run.Len
		if run.Op != align.OnlyB {
			step = min(step, at-i)
			i += step
		}
		if run.Op != align.OnlyA {
			j += step
		}
		if i == at && run.Op != align.OnlyB {
			return slices.Concat(a[:at], b[j:]), nil
		}
	}
	return nil, fmt.Errorf("the two sequences do not overlap at %d", at)
}
