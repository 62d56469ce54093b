package alleles

import (
	"fmt"
	"math"
	"slices"

	"forayseq/align"
	"forayseq/seqqc"
)

// MarkSites brings the double peaks of single sites to the contig: as an
// ambiguity code where the strands that cover the place show the same two
// bases, and as a variant that is only noted where one of two strands does, or
// the only one is not strong. reads are those the contig was made from.
func MarkSites(c *seqqc.Contig, reads []*seqqc.Read) error {
	seen := map[int]*place{}
	var at []int
	any := false
	for _, r := range reads {
		any = any || r.Copies != nil && anySure(r.Copies.Sites)
	}
	if !any {
		return nil
	}
	covers := [2][]bool{make([]bool, len(c.Bases)), make([]bool, len(c.Bases))}
	for _, p := range c.Reads {
		k := slices.IndexFunc(reads, func(r *seqqc.Read) bool { return r.File == p.File })
		if k < 0 || reads[k].Copies == nil {
			continue
		}
		strand := 0
		if p.Complemented {
			strand = 1
		}
		over, err := positions(c, reads[k], p)
		if err != nil {
			return err
		}
		for _, on := range over {
			covers[strand][on] = true
		}
		for _, s := range reads[k].Copies.Sites {
			on, ok := over[s.At]
			if !ok {
				continue
			}
			if seen[on] == nil {
				seen[on] = &place{}
				at = append(at, on)
			}
			seen[on].add(s, strand)
		}
	}
	slices.Sort(at)
	for _, on := range at {
		if align.Mask(c.Bases[on])&seen[on].mask == 0 {
			continue
		}
		if seen[on].logOdds() >= sureSite {
			c.Variants = append(c.Variants, seen[on].variant(c, on, covers[0][on], covers[1][on]))
		}
	}
	return nil
}

// place is what the reads show at one place of a contig.
type place struct {
	mask   uint8 // the bases, in contig direction
	unlike bool  // the reads show different pairs
	shown  [2]bool
	odds   [2]float64 // log odds of the strongest site on each strand
	pct    float64
}

func (s *place) add(d seqqc.DoublePeak, strand int) {
	pair := []byte{d.Major[0], d.Minor[0]}
	if strand == 1 {
		pair = align.ReverseComplement(pair)
	}
	mask := align.Mask(pair[0]) | align.Mask(pair[1])
	s.unlike = s.unlike || s.mask != 0 && s.mask != mask
	s.mask = mask
	if !s.shown[strand] || d.LogOdds > s.odds[strand] {
		s.odds[strand] = d.LogOdds
	}
	s.shown[strand] = true
	s.pct = max(s.pct, d.MinorPct)
}

// logOdds gives those of both strands together: each holds the chance of a site
// before anything was seen, which counts once.
func (s *place) logOdds() float64 {
	switch {
	case s.shown[0] && s.shown[1]:
		return s.odds[0] + s.odds[1] - math.Log10(siteChance/3)
	case s.shown[0]:
		return s.odds[0]
	}
	return s.odds[1]
}

// A site is written as a code where the odds are ten to one, and both strands
// that cover the place show it; one that a strand alone covers only where its
// lower peak is at least lonePct of the two.
const (
	codeOdds = 1
	lonePct  = 35
)

// variant makes the variant, and writes the code where the evidence carries it.
func (s *place) variant(c *seqqc.Contig, on int, forward, reverse bool) seqqc.Variant {
	odds := s.logOdds()
	v := seqqc.Variant{
		At: seqqc.Interval{Start: on, End: on + 1}, Contig: string(c.Bases[on]),
		Quality: int(phred(1 / (1 + math.Pow(10, odds)))),
		Strands: strandWords(s.shown[0], s.shown[1]),
	}
	other := s.mask &^ align.Mask(c.Bases[on])
	if other == 0 {
		other = s.mask
	}
	v.Other = string(align.Code(other))
	both := s.shown[0] && s.shown[1]
	alone := (!forward || !reverse) && s.pct >= lonePct
	if s.unlike || odds < codeOdds || !both && !alone {
		return v
	}
	v.Contig, v.InCode = string(align.Code(s.mask)), true
	putCode(c, on, align.Code(s.mask), byte(v.Quality))
	return v
}

// putCode writes an ambiguity code over a base.
func putCode(c *seqqc.Contig, on int, code, quality byte) {
	old := c.Bases[on]
	if old != 'N' {
		c.PredictedErrors -= align.CallError(c.Quals[on])
	}
	c.PredictedErrors += align.CallError(quality)
	if align.Plain(old) {
		c.Ambiguous++
	}
	c.Bases, c.Quals = slices.Clone(c.Bases), slices.Clone(c.Quals)
	c.Bases[on], c.Quals[on] = code, quality
	c.Sequence = string(c.Bases)
	phred33 := []byte(c.Phred33)
	phred33[on] = quality + 33
	c.Phred33 = string(phred33)
}

// positions gives the contig position over each position of a read that lies
// in the contig as p says.
func positions(c *seqqc.Contig, r *seqqc.Read, p seqqc.ReadPlacement) (map[int]int, error) {
	read := align.Called{Bases: slices.Clone(r.Trace.Bases[p.Of.Start:p.Of.End]), Quals: qualities(r, p.Of)}
	if p.Complemented {
		read.Bases = align.ReverseComplement(read.Bases)
		slices.Reverse(read.Quals)
	}
	al, err := align.OverlapQuality(read, align.Called{Bases: c.Bases[p.On.Start:p.On.End], Quals: c.Quals[p.On.Start:p.On.End]})
	if err != nil {
		return nil, fmt.Errorf("%s over its contig: %w", r.File, err)
	}
	out := map[int]int{}
	eachPair(al, func(i, j int) {
		at := p.Of.Start + i
		if p.Complemented {
			at = p.Of.End - 1 - i
		}
		out[at] = p.On.Start + j
	})
	return out, nil
}

// eachPair calls f for every two bases that an alignment lays over one another.
func eachPair(al align.Alignment, f func(i, j int)) {
	i, j := al.AStart, al.BStart
	for _, run := range al.Runs {
		for range run.Len {
			switch run.Op {
			case align.Pair:
				f(i, j)
				i, j = i+1, j+1
			case align.OnlyA:
				i++
			case align.OnlyB:
				j++
			}
		}
	}
}

// qualities gives those of a stretch of a read, middling ones where there are
// none.
func qualities(r *seqqc.Read, at seqqc.Interval) []byte {
	if len(r.Trace.Quals) == len(r.Trace.Bases) {
		return slices.Clone(r.Trace.Quals[at.Start:at.End])
	}
	return slices.Repeat([]byte{20}, at.Len())
}
