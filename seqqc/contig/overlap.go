package contig

import (
	"fmt"
	"math"

	"forayseq/align"
)

// overlap is how two layouts lie over one another.
type overlap struct {
	al align.Alignment
	// columns are the columns with a base on both sides, N excepted, and the
	// gaps, each counted once; differ are those where the two differ, and
	// expected the number of columns that differ by errors alone.
	columns, differ int
	expected        float64
	// words is the number of different stretches of wordSize bases in it.
	words int
}

const (
	wordSize = 3
	minWords = 12
)

func findOverlap(a, b *layout) (overlap, error) {
	seqA, _ := a.sequence()
	seqB, _ := b.sequence()
	al, err := align.OverlapQuality(seqA, seqB)
	if err != nil {
		return overlap{}, fmt.Errorf("%s and %s: %w", a.rows[0].read.File, b.rows[0].read.File, err)
	}
	o := overlap{al: al, words: distinctWords(seqA.Bases[al.AStart:al.AEnd])}
	i, j := al.AStart, al.BStart
	for _, run := range al.Runs {
		switch run.Op {
		case align.Pair:
			for range run.Len {
				x, y := align.Mask(seqA.Bases[i]), align.Mask(seqB.Bases[j])
				if x != align.MaskN && y != align.MaskN {
					o.columns++
					if x&y == 0 {
						o.differ++
					}
					e, f := align.CallError(seqA.Quals[i]), align.CallError(seqB.Quals[j])
					o.expected += 1 - (1-e)*(1-f) - e*f/3
				}
				i, j = i+1, j+1
			}
			continue
		case align.OnlyA:
			i += run.Len
		case align.OnlyB:
			j += run.Len
		}
		o.columns++
		o.differ++
	}
	return o, nil
}

// telling reports whether the overlap is more than chance. A run of one base
// or a short repeat overlaps with any other; it is told by its few different
// words (one in a run of T, six in a repeat of six bases), where a random
// stretch of 25 bases has about 20.
func (o overlap) telling(p Params) bool {
	return float64(o.al.Score) >= p.MinOverlapBits*align.Bits && o.columns >= p.MinOverlap && o.words >= minWords
}

// holds reports whether the two sides agree as reads of one sample do: of the
// differences, those beyond the expected number and three standard
// deviations (of a Poisson count) are at most two, or p.MaxDifference of the
// columns.
func (o overlap) holds(p Params) bool {
	excess := float64(o.differ) - o.expected - 3*math.Sqrt(o.expected)
	return excess <= max(2, p.MaxDifference*float64(o.columns))
}

func distinctWords(seq []byte) int {
	seen := map[string]bool{}
	for i := 0; i+wordSize <= len(seq); i++ {
		seen[string(seq[i:i+wordSize])] = true
	}
	return len(seen)
}

// sharedStretch is the length of a stretch that two unrelated reads do not
// share: among 700 x 700 places one is expected 700 x 700 / 4^16 = 1e-4 times.
// All fungi share longer ones in the 5.8S.
const sharedStretch = 16

// core58S is a stretch of the 5.8S that plants and fungi have alike (Harpke &
// Peterson 2008, for plants; in 4,166 of 4,276 published sequences of fungi). It
// stands once in the molecule, so two reads that hold it cover a common place,
// also where what they share around it is shorter than sharedStretch: a fungus
// has C at the Y, most plants T. Of 400 pairs of a fungus and a plant with 3 %
// of wrong bases each, the shared stretch told 241 and the core with it 396. A
// read of 700 bases shows it by chance once in three thousand.
const (
	core58S        = "CGATGAAGAACGYAGC"
	coreMismatches = 2
	// before58S and behind58S are the largest distances of the ends of the 5.8S
	// from the core's: 33 and 108 in 195 published sequences of Morchella and
	// Leccinum, with room for authors who begin it some bases earlier.
	before58S, behind58S = 40, 110
)

// strandsOf58S gives the core on the forward and on the reverse strand: layouts
// lie on either.
func strandsOf58S() [2][]byte {
	return [2][]byte{[]byte(core58S), align.ReverseComplement([]byte(core58S))}
}

// in58S reports whether the overlap of a and b lies wholly in the 5.8S, where
// unlike fungi have long stretches alike.
func (o overlap) in58S(a, b *layout) bool {
	return in58S(a, o.al.AStart, o.al.AEnd) || in58S(b, o.al.BStart, o.al.BEnd)
}

func in58S(l *layout, start, end int) bool {
	seq, _ := l.sequence()
	for strand, core := range strandsOf58S() {
		at := findCore(seq.Bases, core)
		if at < 0 {
			continue
		}
		before, behind := before58S, behind58S
		if strand == 1 {
			before, behind = behind, before
		}
		return at-before <= start && end <= at+len(core)+behind
	}
	return false
}

// shareStretch reports whether a and b hold the same stretch of sharedStretch
// bases, no repeat, or the core of the 5.8S, apart from each other in their
// overlap. Two reads that do cover a common place of the molecule, and must
// overlap there if they are of the same one.
func shareStretch(a, b *layout, o overlap, p Params) bool {
	seqA, _ := a.sequence()
	seqB, _ := b.sequence()
	// A true overlap too short to join on is nothing against them.
	apart := func(i, j, n int) bool {
		inA := o.al.AStart <= i && i+n <= o.al.AEnd
		inB := o.al.BStart <= j && j+n <= o.al.BEnd
		return !inA || !inB || !o.holds(p)
	}
	places := map[string]int{}
	for i := 0; i+sharedStretch <= len(seqA.Bases); i++ {
		places[string(seqA.Bases[i:i+sharedStretch])] = i
	}
	for j := 0; j+sharedStretch <= len(seqB.Bases); j++ {
		word := seqB.Bases[j : j+sharedStretch]
		i, ok := places[string(word)]
		if ok && distinctWords(word) >= minWords-2 && apart(i, j, sharedStretch) {
			return true
		}
	}
	for _, core := range strandsOf58S() {
		i, j := findCore(seqA.Bases, core), findCore(seqB.Bases, core)
		if i >= 0 && j >= 0 && apart(i, j, len(core)) {
			return true
		}
	}
	return false
}

// findCore gives the place where a pattern fits best, -1 where it fits nowhere
// with coreMismatches or fewer.
func findCore(bases, pattern []byte) int {
	at, fewest := -1, coreMismatches+1
	for i := 0; i+len(pattern) <= len(bases); i++ {
		n := 0
		for k, c := range pattern {
			if m := align.Mask(bases[i+k]); m&^align.Mask(c) != 0 { // N does not fit
				n++
			}
		}
		if n < fewest {
			at, fewest = i, n
		}
	}
	return at
}
