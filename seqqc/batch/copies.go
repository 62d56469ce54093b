package batch

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"forayseq/align"
	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/alleles"
	"forayseq/seqqc/contig"
	"forayseq/seqqc/trim"
)

// readCopies brings what the traces show of a second template to the sample:
// single sites to the contig, and where the traces hold two alleles or two
// organisms, the second of them as a sequence of its own. c is the contig as
// called, nil where no read was usable; it stays where the traces cannot be
// read apart better.
func (j sampleJob) readCopies(ctx context.Context, c *seqqc.Contig, s Settings, lib *refs.Library) (*seqqc.Contig, error) {
	kind, double := copyKind(j.reads)
	var usable []*seqqc.Read
	for _, r := range j.reads {
		if r.Usable {
			usable = append(usable, r)
		}
	}
	switch kind {
	case seqqc.CopiesShifted, seqqc.CopiesApart, seqqc.CopiesOfBothStrands:
	case seqqc.ManyCopies:
		if c != nil {
			c.Flags = seqqc.MergeFlags(c.Flags, []seqqc.Flag{seqqc.MixedTemplate})
			c.Notes = append(c.Notes, "more than two templates, or two that do not explain the trace: "+double[0].Copies.Why)
		}
		return c, nil
	default:
		if c == nil {
			return nil, nil
		}
		return c, alleles.MarkSites(c, usable)
	}
	for _, r := range double {
		alleles.LookAgain(r, kind)
	}
	trimming := s.Trim
	if kind != seqqc.CopiesShifted {
		trimming = lenient(trimming)
	}
	both, err := readApart(j.reads, kind, trimming, s.Contig)
	if err != nil {
		return nil, err
	}
	switch kind {
	case seqqc.CopiesShifted:
		c, err = withSecond(c, both, share(double))
	case seqqc.CopiesApart:
		c, err = j.withMinor(ctx, clearest(c, both.major), both.minor, share(double), s, lib)
	default:
		c = withStrands(clearest(c, both.major), share(double))
	}
	if c != nil {
		sayReadApart(double, both.parts[c])
	}
	return c, err
}

// sayReadApart brings the rows of the reads in line with a sequence that was
// not taken from their calls: parts are the same reads as read apart.
func sayReadApart(reads, parts []*seqqc.Read) {
	for _, r := range reads {
		for _, part := range parts {
			if part == r || part.File != r.File {
				continue
			}
			note := "the sequence was read out of its traces, which show two; these figures are of that"
			if !r.Usable {
				note += "; as called, " + r.Why
			}
			r.Notes = append(r.Notes, note)
			r.Kept, r.Stats, r.Primers, r.Usable, r.Why = part.Kept, part.Stats, part.Primers, part.Usable, part.Why
			r.Flags = slices.DeleteFunc(slices.Clone(r.Flags), func(f seqqc.Flag) bool { return f == seqqc.Short || f == seqqc.LowQuality })
			r.Flags = seqqc.MergeFlags(r.Flags, part.Flags)
		}
	}
}

// copyKind gives what the reads of a sample show together, and the reads that
// show it. Of reads that tell different things the surest counts: the strands
// show one mixture. The other strand in one read says nothing of what another
// holds, and counts where there is nothing else.
func copyKind(reads []*seqqc.Read) (kind seqqc.CopyKind, double []*seqqc.Read) {
	surest := -1.0
	var many *seqqc.Read
	var ofBothStrands []*seqqc.Read
	for _, r := range reads {
		c := r.Copies
		if c != nil && c.Kind == seqqc.CopiesOfBothStrands {
			ofBothStrands = append(ofBothStrands, r)
		}
		if c == nil || c.Kind != seqqc.CopiesShifted && c.Kind != seqqc.CopiesApart && c.Kind != seqqc.ManyCopies {
			continue
		}
		if c.LogOdds > surest {
			kind, surest = c.Kind, c.LogOdds
			if kind == seqqc.ManyCopies {
				many = r
			}
		}
		if c.LogOdds > 0 { // else it was never taken for two
			double = append(double, r)
		}
	}
	switch {
	case kind == seqqc.ManyCopies:
		return kind, []*seqqc.Read{many}
	case kind == "" && ofBothStrands != nil:
		return seqqc.CopiesOfBothStrands, ofBothStrands
	case kind == "":
		return seqqc.OneCopy, nil
	}
	return kind, double
}

// share is the mean share of the minor template, in percent.
func share(double []*seqqc.Read) float64 {
	sum := 0.0
	for _, r := range double {
		sum += r.Copies.MinorPct
	}
	return math.Round(10*sum/float64(len(double))) / 10
}

// lenient are settings for a template read out of a mixture: its qualities are
// low all along, where a second peak is as likely noise, and it is wanted for
// its name only. What is not clear in it is masked later.
func lenient(p trim.Params) trim.Params {
	p.Limit = max(p.Limit, 0.1)
	p.MaxErrorRate = max(p.MaxErrorRate, 0.1)
	return p
}

// templates are the contigs of the two templates of a sample, nil where one
// could not be put together, and the reads that each was put together from.
type templates struct {
	major, minor *seqqc.Contig
	parts        map[*seqqc.Contig][]*seqqc.Read
}

// likeShares is the largest distance from 50 % at which the two templates of
// one read may be taken for one another.
const likeShares = 8

// readApart puts the two templates of a sample together. A read that shows one
// template only belongs to both: what it covers, they share. Where the shares
// are alike, major and minor may be exchanged between two reads, and the way
// is taken in which the reads disagree less.
func readApart(reads []*seqqc.Read, kind seqqc.CopyKind, t trim.Params, c contig.Params) (templates, error) {
	best, err := assembleApart(reads, kind, nil, t, c)
	if err != nil {
		return templates{}, err
	}
	_, double := copyKind(reads)
	if len(double) == 2 && share(double) > 50-likeShares {
		other, err := assembleApart(reads, kind, double[1], t, c)
		if err != nil {
			return templates{}, err
		}
		if other.trouble() < best.trouble() {
			best = other
		}
	}
	return best, nil
}

// trouble counts what speaks against two templates as put together.
func (t templates) trouble() int {
	n := 0
	for _, c := range []*seqqc.Contig{t.major, t.minor} {
		if c == nil {
			n += 1000
			continue
		}
		n += len(c.Disagreements)
		if slices.Contains(c.Flags, seqqc.StrandsDisagree) {
			n += 500
		}
	}
	return n
}

// assembleApart puts the templates together, with the two of one read
// exchanged.
func assembleApart(reads []*seqqc.Read, kind seqqc.CopyKind, exchanged *seqqc.Read, p trim.Params, c contig.Params) (t templates, err error) {
	var major, minor []*seqqc.Read
	for _, r := range reads {
		if !isOf(kind, r) {
			if r.Usable {
				major, minor = append(major, r), append(minor, r)
			}
			continue
		}
		a, b, err := alleles.Split(r)
		if err != nil {
			return t, err
		}
		if r == exchanged {
			a, b = b, a
		}
		if major, err = appendTrimmed(major, a, p); err != nil {
			return t, err
		}
		if minor, err = appendTrimmed(minor, b, p); err != nil {
			return t, err
		}
	}
	if t.major, err = together(major, c); err != nil || t.major == nil {
		return t, err
	}
	t.parts = map[*seqqc.Contig][]*seqqc.Read{t.major: major}
	if exchanged != nil {
		t.minor, err = together(minor, c)
		t.parts[t.minor] = minor
		return t, err
	}
	// The major template is told by all reads together; with it known, the
	// minor one is what is left in each.
	minor = minor[:0]
	for _, r := range reads {
		if !isOf(kind, r) {
			if r.Usable {
				minor = append(minor, r)
			}
			continue
		}
		b, err := alleles.Subtract(r, t.major)
		if err != nil {
			return t, err
		}
		if minor, err = appendTrimmed(minor, b, p); err != nil {
			return t, err
		}
	}
	t.minor, err = together(minor, c)
	t.parts[t.minor] = minor
	return t, err
}

func isOf(kind seqqc.CopyKind, r *seqqc.Read) bool { return r.Copies != nil && r.Copies.Kind == kind }

func appendTrimmed(reads []*seqqc.Read, r *seqqc.Read, p trim.Params) ([]*seqqc.Read, error) {
	if err := trim.Trim(r, p); err != nil || !r.Usable {
		return reads, err
	}
	return append(reads, r), nil
}

// together gives the contig of some reads, nil where there is none.
func together(reads []*seqqc.Read, p contig.Params) (*seqqc.Contig, error) {
	if len(reads) == 0 {
		return nil, nil
	}
	c, err := firstITS(reads, p)
	if errors.Is(err, contig.ErrNoRead) {
		return nil, nil
	}
	return c, err
}

// clear20 counts the bases of Q20 and better.
func clear20(c *seqqc.Contig) int {
	n := 0
	if c != nil {
		for _, q := range c.Quals {
			if q >= 20 {
				n++
			}
		}
	}
	return n
}

// Two copies read apart are believed where they differ at no more than
// mostVariants places, and are read as far as the contig as called: a contig
// must not get worse.
const mostVariants = 15

// withSecond gives the major allele as contig, with the other as its second
// copy, or the contig as called where the two could not be read apart.
func withSecond(c *seqqc.Contig, t templates, sharePct float64) (*seqqc.Contig, error) {
	keep := func(why string) (*seqqc.Contig, error) {
		if c != nil {
			c.Flags = seqqc.MergeFlags(c.Flags, []seqqc.Flag{seqqc.IndelHeterozygote})
			c.Notes = append(c.Notes, "the traces show two copies of different length, which could not be read apart: "+why)
		}
		return c, nil
	}
	main, other := t.major, t.minor
	switch {
	case main == nil || other == nil:
		return keep("no sequence of both was left")
	case slices.Contains(main.Flags, seqqc.StrandsDisagree), slices.Contains(other.Flags, seqqc.StrandsDisagree):
		return keep("the reads do not agree on them")
	case clear20(main) < clear20(c):
		return keep("they would be shorter than the contig as called")
	case c != nil && isITS(c.Region) && !isITS(main.Region):
		return keep("the ITS is not seen in them")
	}
	why := fmt.Sprintf("the one with the larger share, %.0f %% of the signal", 100-sharePct)
	if sharePct > 50-likeShares {
		why = "the longer one, for both have a like share"
		if len(other.Bases) > len(main.Bases) {
			main, other, sharePct = other, main, 100-sharePct
		}
	}
	variants, err := alleles.Compare(main, other)
	if err != nil {
		return nil, err
	}
	switch {
	case len(variants) == 0:
		return keep("both gave one sequence")
	case len(variants) > mostVariants:
		return keep("they would differ at " + seqqc.Count(len(variants), "place"))
	}
	main.Flags = seqqc.MergeFlags(main.Flags, []seqqc.Flag{seqqc.IndelHeterozygote})
	main.Second = &seqqc.SecondCopy{
		Sequence: other.Sequence, Phred33: other.Phred33, SharePct: sharePct,
		Variants: variants, Unclear: slices.Concat(alleles.Unclear(main)),
		Text: fmt.Sprintf("two copies were read out of the traces; the sequence is %s, the other has %s", why, alleles.Words(variants)),
	}
	main.Notes = append(main.Notes, main.Second.Text)
	return main, nil
}

// A second organism's sequence is compared where leastMinor bases of it are
// clear, which are those of maskBelow and better; a better reading of the major one takes the place of the contig as
// called where it is muchClearer times as long.
const (
	leastMinor  = 100
	maskBelow   = 10
	muchClearer = 1.2
)

// clearest gives the contig as called, or the major template as read out of the
// traces where that is much clearer.
func clearest(called, major *seqqc.Contig) *seqqc.Contig {
	if major == nil || called != nil && float64(clear20(major)) <= muchClearer*float64(clear20(called)) {
		return called
	}
	major.Notes = append(major.Notes, "read out of traces that show two sequences")
	return major
}

// withStrands notes that the traces show the other strand of the contig.
func withStrands(c *seqqc.Contig, sharePct float64) *seqqc.Contig {
	if c != nil {
		c.OtherStrandPct = sharePct
		c.Notes = append(c.Notes, fmt.Sprintf("%.0f %% of the signal is the other strand of the same DNA", sharePct))
	}
	return c
}

// withMinor flags the contig of the major organism, and sets the minor one's
// sequence and hits.
func (j sampleJob) withMinor(ctx context.Context, c, minor *seqqc.Contig, sharePct float64, s Settings, lib *refs.Library) (*seqqc.Contig, error) {
	if c == nil {
		return nil, nil
	}
	c.Flags = seqqc.MergeFlags(c.Flags, []seqqc.Flag{seqqc.MixedTemplate})
	if minor == nil || mask(minor) < leastMinor {
		c.Notes = append(c.Notes, fmt.Sprintf("a second template of %.0f %% of the signal could not be read", sharePct))
		return c, nil
	}
	m, err := j.matches.match(ctx, lib, minor, j.field, s.Match)
	if err != nil {
		return nil, err
	}
	j.result.Minor = &seqqc.MinorTemplate{Contig: minor, SharePct: sharePct, Match: m}
	return c, nil
}

// mask makes N of the bases of a minor template that are not clear, and counts
// the others.
func mask(c *seqqc.Contig) (clear int) {
	c.PredictedErrors, c.Ambiguous = 0, 0
	for i, q := range c.Quals {
		switch {
		case q < maskBelow:
			c.Bases[i], c.Quals[i] = 'N', 0
		case align.Plain(c.Bases[i]):
			clear++
			c.PredictedErrors += align.CallError(q)
			continue
		}
		if i < c.Gap.Start || i >= c.Gap.End {
			c.Ambiguous++
		}
	}
	c.Sequence = string(c.Bases)
	phred33 := make([]byte, len(c.Quals))
	for i, q := range c.Quals {
		phred33[i] = q + 33
	}
	c.Phred33 = string(phred33)
	return clear
}
