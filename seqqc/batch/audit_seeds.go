package batch

import (
	"cmp"
	"slices"

	"forayseq/refs"
	"forayseq/seqqc/match"
)

// Seeds tell which records lie near one another well enough to leave out
// searches that would find nothing. A seed is a word of seedLength bases whose
// hash falls into one part of seedPart. Records that are 94 % alike (the genus
// threshold) share about half of their words: 0.943^12.
const (
	seedLength = 12
	seedPart   = 8
	// mostHolders is the share of sequences, as one in so many, that may hold
	// a seed for it to tell anything: the 5.8S is in all.
	mostHolders = 20
	// leastSeeds is the least number of telling seeds for their word to count;
	// sequences with fewer are searched.
	leastSeeds = 12
	// seedNear is how many sequences that share most are looked at.
	seedNear = 16
	// mixedNear is how many of them, of one other genus, family or order, make a
	// search for the label worth while: as many as a label is doubted for.
	mixedNear = 4
	// leastShared is the part of a sequence's seeds, as one in so many, that a
	// neighbour shares at least. Those 88.5 % alike (the family threshold) share
	// 0.885^12, 23 %, of some fifty on average, and seldom less than a tenth.
	leastShared = 10
	// twinShared is the part, in percent, of a sequence's seeds that one nearly
	// equal shares: 0.996^12 is 95 %.
	twinShared = 75
	// splitNear is how many of the sequences that share most with a part of
	// another are looked at for its genus.
	splitNear = 5
)

// seeds holds, by sequence, the telling seeds of its ITS in order, and by seed
// the sequences that have it.
type seeds struct {
	of      [][]seed
	holders map[uint32][]int32
	few     []bool // sequences with too few
}

type seed struct {
	word uint32
	at   int32 // in thousandths of the ITS
}

func newSeeds(units []unit) *seeds {
	s := &seeds{of: make([][]seed, len(units)), holders: map[uint32][]int32{}, few: make([]bool, len(units))}
	for i := range units {
		c := units[i].contig
		span := c.Region.ITS(len(c.Bases))
		s.of[i] = seedsOf(c.Bases[span.Start:span.End])
		for _, w := range s.of[i] {
			h := s.holders[w.word]
			if len(h) == 0 || h[len(h)-1] != int32(i) {
				s.holders[w.word] = append(h, int32(i))
			}
		}
	}
	most := max(leastSeeds, len(units)/mostHolders)
	for i := range s.of {
		all := len(s.of[i])
		s.of[i] = slices.DeleteFunc(s.of[i], func(w seed) bool { return len(s.holders[w.word]) > most })
		// Where most words are common, the sequence stands in a crowd of its own.
		s.few[i] = len(s.of[i]) < leastSeeds || 2*len(s.of[i]) < all
	}
	return s
}

// seedsOf gives the seeds of a sequence.
func seedsOf(seq []byte) []seed {
	const mask = 1<<(2*seedLength) - 1
	var out []seed
	code, plain := uint32(0), 0
	for i, c := range seq {
		base := slices.Index([]byte("ACGT"), c)
		if base < 0 {
			plain = 0
			continue
		}
		code = (code<<2 | uint32(base)) & mask
		if plain++; plain < seedLength {
			continue
		}
		// Multiplied by 2^32 divided by the golden ratio; the high bits are mixed.
		if h := code * 2654435769; h < 1<<32/seedPart {
			out = append(out, seed{code, int32(1000 * i / len(seq))})
		}
	}
	return out
}

// around says what a sequence's seeds make worth a search.
type around struct {
	few   bool    // they tell nothing, so that all is
	mixed bool    // enough of its nearest are of one other genus, family or order
	twins []int32 // sequences nearly equal to it that are of another genus
	split bool    // its parts are nearest to different genera
}

// taxa gives, by rank (as in match.LabelRanks) and record, the number of a
// taxon, 0 where there is none.
type taxa [][]int32

func taxaOf(lib *refs.Library) taxa {
	out := make(taxa, len(match.LabelRanks))
	for k, rank := range match.LabelRanks {
		out[k] = make([]int32, lib.Len())
		numbers := map[string]int32{"": 0}
		for i, r := range lib.All() {
			if lib.GenusNumber(i) == 0 {
				continue
			}
			t := r.Lineage.At(rank)
			if _, known := numbers[t]; !known {
				numbers[t] = int32(len(numbers))
			}
			out[k][i] = numbers[t]
		}
	}
	return out
}

// around looks at who shares most seeds with sequence i.
func (s *seeds) around(i int, t taxa, units []unit) around {
	if s.few[i] {
		return around{few: true, mixed: true, split: true}
	}
	var w around
	genera, near := t[0], s.nearest(i, 0, 1000, seedNear)
	for k := range t {
		own, count := distinct(t[k], units[i].records), map[int32]int{}
		for _, o := range near {
			for _, g := range distinct(t[k], units[o.unit].records) {
				if slices.Contains(own, g) {
					continue
				}
				if count[g]++; count[g] == mixedNear && len(own) > 0 {
					w.mixed = true
				}
				if k == 0 && 100*o.shared >= twinShared*len(s.of[i]) {
					w.twins = append(w.twins, o.unit)
				}
			}
		}
	}
	// Records of one sequence under several genera contradict one another.
	if len(distinct(genera, units[i].records)) > 1 {
		w.mixed = true
	}
	for _, cut := range []int32{300, 500, 700} {
		left, right := s.nearest(i, 0, cut, splitNear), s.nearest(i, cut, 1000, splitNear)
		if len(left) > 0 && len(right) > 0 && apart(genera, units, left, right) {
			w.split = true
		}
	}
	return w
}

// apart reports whether the nearest of one part bears a genus that none of the
// other part's nearest bears, and the other way round.
func apart(genera []int32, units []unit, left, right []neighbour) bool {
	foreign := func(first neighbour, others []neighbour) bool {
		for _, g := range distinct(genera, units[first.unit].records) {
			if !slices.ContainsFunc(others, func(o neighbour) bool { return slices.Contains(distinct(genera, units[o.unit].records), g) }) {
				return true
			}
		}
		return false
	}
	return foreign(left[0], right) && foreign(right[0], left)
}

// distinct gives the genera of records, each once.
func distinct(genera []int32, records []int) []int32 {
	var out []int32
	for _, r := range records {
		if g := genera[r]; g != 0 && !slices.Contains(out, g) {
			out = append(out, g)
		}
	}
	return out
}

// neighbour is a sequence and the seeds that it shares.
type neighbour struct {
	unit   int32
	shared int
}

// nearest gives the sequences, n at most, that share most of the seeds of i
// between two places, in thousandths of its ITS.
func (s *seeds) nearest(i int, from, to int32, n int) []neighbour {
	shared := map[int32]int{}
	all := 0
	for _, w := range s.of[i] {
		if w.at < from || w.at >= to {
			continue
		}
		all++
		for _, o := range s.holders[w.word] {
			if o != int32(i) {
				shared[o]++
			}
		}
	}
	var out []neighbour
	for o, k := range shared {
		if k*leastShared >= all {
			out = append(out, neighbour{o, k})
		}
	}
	slices.SortFunc(out, func(a, b neighbour) int { return cmp.Or(cmp.Compare(b.shared, a.shared), cmp.Compare(a.unit, b.unit)) })
	return out[:min(n, len(out))]
}
