package alleles

import (
	"fmt"
	"slices"

	"forayseq/align"
	"forayseq/seqqc"
)

// Left-over primer of the amplification starts a sequence on the other strand
// too, so that the trace holds the amplicon and its reverse complement. A minor
// template is taken for that where it pairs with the reverse complement of the
// major one over strandShare of its clear bases, over strandColumns at least,
// with strandIdentity of them alike. Read from a fifth of the signal, one base
// in ten is wrong (five real reads were alike in 0.95 to 0.98 of their
// clear bases), which the identity leaves room for; unrelated sequences are alike in about 0.6 at most
// over such a length, and relatives lie on the same strand. The ends lie over
// the primer or the noise, hence the share.
const (
	strandIdentity = 0.88
	strandShare    = 0.6
	strandColumns  = 80
)

// tellStrands changes the kind of a read that was found to hold two unlike
// templates, where the second is the other strand of the first.
func tellStrands(r *seqqc.Read) error {
	c := r.Copies
	if c.Kind != seqqc.CopiesApart {
		return nil
	}
	major, minor, err := Split(r)
	if err != nil {
		return err
	}
	same, err := otherStrand(calledIn(major, c.Looked), calledIn(minor, c.Looked))
	if err != nil {
		return fmt.Errorf("%s: %w", r.File, err)
	}
	if same {
		c.Kind = seqqc.CopiesOfBothStrands
		c.Why = fmt.Sprintf("%.0f %% of the signal is the other strand of the same DNA, as left-over PCR primer gives it", c.MinorPct)
		r.Notes = append(r.Notes, c.Why)
	}
	return nil
}

func calledIn(r *seqqc.Read, at seqqc.Interval) align.Called {
	return align.Called{Bases: r.Trace.Bases[at.Start:at.End], Quals: r.Trace.Quals[at.Start:at.End]}
}

// otherStrand reports whether minor is the reverse complement of major as far as
// its clear bases tell.
func otherStrand(major, minor align.Called) (bool, error) {
	turned := align.Called{Bases: align.ReverseComplement(major.Bases), Quals: slices.Clone(major.Quals)}
	slices.Reverse(turned.Quals)
	al, err := align.OverlapQuality(minor, turned)
	if err != nil {
		return false, err
	}
	clear, columns, alike := 0, 0, 0
	for _, q := range minor.Quals {
		if q >= unclearBelow {
			clear++
		}
	}
	eachPair(al, func(i, j int) {
		if minor.Quals[i] < unclearBelow || turned.Quals[j] < unclearBelow {
			return
		}
		columns++
		if minor.Bases[i] == turned.Bases[j] {
			alike++
		}
	})
	return columns >= strandColumns && float64(columns) >= strandShare*float64(clear) &&
		float64(alike) >= strandIdentity*float64(columns), nil
}
