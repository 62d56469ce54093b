package alleles

import (
	"bytes"
	"fmt"
	"slices"

	"forayseq/align"
	"forayseq/seqqc"
)

// Split reads both templates out of a read that Look found to hold two that
// are shifted or apart, or one on both strands. The two are reads of the same file, with the positions
// of r; what lies outside the stretch looked at has quality 0. They have no
// Signal of their own, so that trimming and assembly treat them as any read.
//
// The quality of a base is the probability that it is another, given the heights
// at this base and at those linked with it (see decode), but never more than
// mostQuality; where the templates are in step, and the base caller named the
// base, its quality if that is higher.
func Split(r *seqqc.Read) (major, minor *seqqc.Read, err error) {
	return split(r, nil)
}

func split(r *seqqc.Read, known map[int]byte) (major, minor *seqqc.Read, err error) {
	c := r.Copies
	if c == nil || c.Kind != seqqc.CopiesShifted && c.Kind != seqqc.CopiesApart && c.Kind != seqqc.CopiesOfBothStrands {
		return nil, nil, fmt.Errorf("%s: no two templates were found to read apart", r.File)
	}
	if r.Signal == nil || c.Looked.End > len(r.Signal.Bases) || len(r.Signal.Bases) != len(r.Trace.Bases) {
		return nil, nil, fmt.Errorf("%s: the peak evidence does not belong to the read", r.File)
	}
	table := likelihoods(columnsOf(r.Signal, c.Looked), max(0.01, c.MinorPct/100), noiseOfTwo)
	for at, base := range known {
		fix(&table[at-c.Looked.Start], channel(base))
	}
	path := pathOf(c)
	d := decode(table, path)
	for _, g := range path {
		if g.state != stateOf(0) {
			continue
		}
		for i := g.start; i < g.end; i++ {
			at := c.Looked.Start + i
			for _, t := range []*align.Called{&d.major, &d.minor} {
				if at < len(r.Trace.Quals) && t.Bases[i] == r.Trace.Bases[at] {
					t.Quals[i] = max(t.Quals[i], r.Trace.Quals[at])
				}
			}
		}
	}
	return withBases(r, d.major), withBases(r, d.minor), nil
}

// Subtract is Split where the major template is known: contig is its sequence,
// put together from all reads of the sample. Where a base of it lies under one
// of the read's, that is the major template's, however the heights stand.
// Where contig does not overlap the read, the result is that of Split.
func Subtract(r *seqqc.Read, contig *seqqc.Contig) (minor *seqqc.Read, err error) {
	major, minor, err := Split(r)
	if err != nil {
		return nil, err
	}
	under, err := underRead(major, contig)
	if err != nil || len(under) == 0 {
		return minor, err
	}
	_, minor, err = split(r, under)
	return minor, err
}

// sureBase is the least quality of a contig base that is taken as known.
const sureBase = 20

// underRead gives, by the position in the read, the contig's base under it in
// the direction of the read.
func underRead(r *seqqc.Read, c *seqqc.Contig) (map[int]byte, error) {
	at := r.Kept
	read := align.Called{Bases: r.Trace.Bases[at.Start:at.End], Quals: r.Trace.Quals[at.Start:at.End]}
	var best align.Alignment
	bestSide := 0
	sides := [2]align.Called{{Bases: c.Bases, Quals: c.Quals}, {Bases: align.ReverseComplement(c.Bases), Quals: slices.Clone(c.Quals)}}
	slices.Reverse(sides[1].Quals)
	for k, side := range sides {
		al, err := align.OverlapQuality(read, side)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", r.File, err)
		}
		if al.Score > best.Score {
			best, bestSide = al, k
		}
	}
	out := map[int]byte{}
	side := sides[bestSide]
	eachPair(best, func(i, j int) {
		if align.Plain(side.Bases[j]) && side.Quals[j] >= sureBase {
			out[at.Start+i] = side.Bases[j]
		}
	})
	return out, nil
}

// unlikelyKnown weighs a base of the major template that is not the known one.
const unlikelyKnown = 1e-3

func fix(l *likelihood, known int) {
	for k := range l {
		if k/4 != known {
			l[k] *= unlikelyKnown
		}
	}
}

// pathOf gives the segments of the columns that c was described from.
func pathOf(c *seqqc.Copies) []segment {
	path := []segment{{end: c.Looked.Len(), state: stateOf(0)}}
	if len(c.Stretches) > 0 {
		path = path[:0]
	}
	for _, s := range c.Stretches {
		g := segment{start: s.At.Start - c.Looked.Start, end: s.At.End - c.Looked.Start, state: apart, fresh: s.Fresh}
		if !s.Apart {
			g.state = stateOf(max(-maxShift, min(maxShift, s.Shift)))
		}
		path = append(path, g)
	}
	return path
}

// withBases gives a read like r with the bases of one of its templates.
func withBases(r *seqqc.Read, t align.Called) *seqqc.Read {
	tr := &seqqc.Trace{
		Format: r.Trace.Format, Name: r.Trace.Name,
		Bases: bytes.Clone(r.Trace.Bases), Quals: make([]byte, len(r.Trace.Bases)),
		Peaks: r.Trace.Peaks, Channels: r.Trace.Channels,
	}
	at := r.Copies.Looked
	copy(tr.Bases[at.Start:at.End], t.Bases)
	copy(tr.Quals[at.Start:at.End], t.Quals)
	if byHand := (seqqc.Interval{Start: max(at.Start, r.Kept.Start), End: min(at.End, r.Kept.End)}); r.KeptByHand && !byHand.Empty() {
		at = byHand
	}
	return &seqqc.Read{
		File: r.File, Trace: tr, Format: r.Format, Voucher: r.Voucher, Sample: r.Sample,
		Primer: r.Primer, Partner: r.Partner, Direction: r.Direction, Run: r.Run,
		Kept: at, KeptByHand: r.KeptByHand, Usable: true,
	}
}
