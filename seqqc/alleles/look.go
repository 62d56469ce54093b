package alleles

import (
	"fmt"
	"math"
	"slices"

	"forayseq/seqqc"
)

// Look sets r.Copies from r.Signal, and adds the flag mixed_template or
// indel_heterozygote where the trace shows two templates. Without a signal
// Copies is nil. The other strand of the same DNA is no second template and gets
// a note instead.
//
// The stretch looked at begins where trimming began to keep, or at base 60
// where that is further on (a mixture has low qualities that say nothing of its
// peaks), and ends with the usable signal, or at the primer that ends the
// amplicon.
//
// An error means settings that make no sense, or a signal that does not belong
// to the read.
func Look(r *seqqc.Read, p Params) error {
	if err := p.Validate(); err != nil {
		return err
	}
	r.Copies = nil
	if r.Signal == nil || r.Trace == nil {
		return nil
	}
	if len(r.Signal.Bases) != len(r.Trace.Bases) {
		return fmt.Errorf("%s: peak evidence of %d bases for a read of %d", r.File, len(r.Signal.Bases), len(r.Trace.Bases))
	}
	at := stretch(r)
	r.Copies = &seqqc.Copies{Kind: seqqc.CopiesUntold, Looked: at}
	if at.Len() < p.MinBases {
		r.Copies.Why = fmt.Sprintf("%d bases with clear peaks are too few to tell", at.Len())
		return nil
	}
	cols := columnsOf(r.Signal, at)
	crowd := crowdOf(cols)
	switch {
	case crowd.three > mostThree && crowd.first < leastFirst && crowd.last < mostLast:
		r.Copies.Kind = seqqc.ManyCopies
		r.Copies.Why = fmt.Sprintf("three peaks at %.0f %% of its bases", 100*crowd.three)
	case crowd.noisy > 0.5:
		r.Copies.Why = "the noise is too high to tell"
	default:
		describe(r, cols, crowd.noise, p)
		if err := tellStrands(r); err != nil {
			return err
		}
	}
	setFlag(r)
	return nil
}

func setFlag(r *seqqc.Read) {
	flags := slices.DeleteFunc(slices.Clone(r.Flags), func(f seqqc.Flag) bool {
		return f == seqqc.MixedTemplate || f == seqqc.IndelHeterozygote
	})
	switch r.Copies.Kind {
	case seqqc.CopiesApart, seqqc.ManyCopies:
		flags = append(flags, seqqc.MixedTemplate)
	case seqqc.CopiesShifted:
		flags = append(flags, seqqc.IndelHeterozygote)
	}
	r.Flags = seqqc.MergeFlags(flags)
}

// LookAgain looks at a read that Look found to hold two templates or more, where
// the other reads of its sample tell for sure how two lie to one another: kind
// is CopiesShifted or CopiesApart. A read that was not taken apart into stretches
// stays as it is.
func LookAgain(r *seqqc.Read, kind seqqc.CopyKind) {
	c := r.Copies
	if c == nil || c.Kind == kind || len(c.Stretches) == 0 ||
		c.Kind != seqqc.CopiesShifted && c.Kind != seqqc.CopiesApart && c.Kind != seqqc.ManyCopies {
		return
	}
	cols := columnsOf(r.Signal, c.Looked)
	e := explain(cols)
	if kind == seqqc.CopiesApart {
		e = explainMixed(cols)
	}
	c.Kind = kind
	c.Why += "; the other reads of the sample tell how the two lie to one another"
	divide(c, e)
	setFlag(r)
}

// lateStart is the base from which on a read is looked at whatever trimming
// says; before it the first fragments run unevenly.
const lateStart = 60

func stretch(r *seqqc.Read) seqqc.Interval {
	at := r.Signal.Usable
	start := lateStart
	if !r.Kept.Empty() {
		start = min(start, r.Kept.Start)
	}
	at.Start = max(at.Start, start)
	for _, s := range r.Primers {
		switch {
		case !s.Cut:
		case s.At.Start >= at.Start+(at.End-at.Start)/2:
			at.End = min(at.End, s.At.Start)
		default:
			at.Start = max(at.Start, s.At.End)
		}
	}
	if at.Empty() {
		return seqqc.Interval{Start: at.Start, End: at.Start}
	}
	return at
}

// crowd says how many channels share the signal of a stretch.
type crowd struct {
	first float64 // the mean share of the highest channel
	three float64 // the share of columns with a third peak
	last  float64 // the mean share of the lowest channel, high where all is noise
	noisy float64 // the share of columns with more noise than anything can be told from
	noise float64 // the mean noise
}

// Three unrelated templates of equal share show three bases in 3/8 of the
// columns, and the highest channel has about 0.62 of the signal; two, or one
// under the noise of a poor read, show the highest with 0.68 or more (measured
// on simulated reads).
const (
	mostThree  = 0.27
	leastFirst = 0.65
	thirdPeak  = 0.1
	mostLast   = 0.045
)

func crowdOf(cols []column) crowd {
	var out crowd
	n := 0.0
	for _, c := range cols {
		if c.blind {
			out.noisy++
			continue
		}
		if c.noise >= mostNoise {
			out.noisy++
		}
		out.noise += c.noise
		f := c.share
		order(&f)
		n++
		out.first += f[0]
		out.last += f[3]
		if f[2] > thirdPeak {
			out.three++
		}
	}
	out.noisy /= max(1, float64(len(cols)))
	out.first /= max(1, n)
	out.last /= max(1, n)
	out.three /= max(1, n)
	out.noise /= max(1, n)
	return out
}

// describe fills in r.Copies from the best explanation.
func describe(r *seqqc.Read, cols []column, noise float64, p Params) {
	e := explain(cols)
	c := r.Copies
	c.Kind = seqqc.OneCopy
	c.LogOdds = math.Max(0, math.Round(10*e.logOdds)/10)
	double, unlike := e.double(), e.unlike()
	if double < p.MinDouble || e.logOdds < p.MinLogOdds {
		c.Sites = sites(r, cols, nil, p)
		if anySure(c.Sites) {
			c.Kind = seqqc.CopiesInStep
			c.Why = seqqc.Count(len(c.Sites), "single base") + " may have two peaks"
		}
		if float64(len(c.Sites)) > p.MaxSites*float64(len(cols))/100 && len(c.Sites) >= p.MinDouble {
			c.Kind = seqqc.CopiesApart
			divide(c, explainMixed(cols))
			c.Why = fmt.Sprintf("two templates of one length that differ at %d of %d bases", len(c.Sites), len(cols))
		}
		return
	}
	divide(c, e)
	unlikePct, changes := 100*e.divergence(), e.changes()
	// Of two organisms under noise, all may be missed but the 5.8S, which they
	// have in common: it alone looks like two copies of different length.
	mixed := explainAt(cols, e.minor, noiseOfTwo)
	switch {
	case c.MinorPct < p.MinMinorPct:
		c.Why = fmt.Sprintf("a second signal of %.0f %% is too faint to tell from the shadows of sequencing", c.MinorPct)
	case unlike >= leastUnlike && 3*unlike > double, mixed.unlike() >= leastUnlike && 2*mixed.unlike() > mixed.double():
		c.Kind = seqqc.CopiesApart
		c.Why = fmt.Sprintf("double peaks in %d of %d bases that no shift explains", max(unlike, mixed.unlike()), c.Looked.Len())
	case unlikePct > p.MaxSites+noiseSites*noise, changes > mostChanges,
		unlikePct > p.MaxSites && changes > mostChanges/2:
		c.Kind = seqqc.CopiesApart
		c.Why = fmt.Sprintf("double peaks in %d of %d bases, as of two relatives: they differ in %.0f %% of the bases that can be compared, and their lengths part at %d places",
			double, c.Looked.Len(), unlikePct, changes)
	case noise < quietNoise && tripled(cols, e.path) > mostTripled:
		c.Kind = seqqc.ManyCopies
		c.Why = fmt.Sprintf("%.0f %% of its double peaks have a third", 100*tripled(cols, e.path))
	case c.MinorPct < mostSlip && slipped(r, e.path):
		c.Why = fmt.Sprintf("a shadow of %.0f %% one base apart begins behind a long run of one base, where the polymerase slips", c.MinorPct)
	default:
		c.Kind = seqqc.CopiesShifted
		c.Sites = sites(r, cols, e.path, p)
		c.Why = fmt.Sprintf("double peaks in %d of %d bases, as of two copies of different length", double, c.Looked.Len())
	}
	if c.Kind == seqqc.CopiesApart {
		divide(c, mixed)
	}
}

// divide sets the stretches and the share of an explanation.
func divide(c *seqqc.Copies, e explanation) {
	c.MinorPct = math.Round(1000*e.minor) / 10
	c.Stretches = nil
	at := c.Looked.Start
	for _, g := range e.path {
		st := seqqc.CopyStretch{At: seqqc.Interval{Start: at + g.start, End: at + g.end}, Fresh: g.fresh}
		if g.state == apart {
			st.Apart = true
		} else {
			st.Shift = g.shift()
		}
		c.Stretches = append(c.Stretches, st)
	}
}

// A third peak of three copies of one locus is at least thirdOfThree of the
// signal; mostTripled is the largest share of the double columns that two have
// with one. Three copies that differ in length show it in up to 3/8 of them.
const (
	thirdOfThree = 0.16
	mostTripled  = 0.12
	// quietNoise is the noise below which a third peak is no noise.
	quietNoise = 0.09
)

// tripled gives the share of the columns not in step that have a third peak.
func tripled(cols []column, path []segment) float64 {
	n, third := 0, 0
	for _, g := range path {
		if g.state == stateOf(0) {
			continue
		}
		for _, c := range cols[g.start:g.end] {
			f := c.share
			order(&f)
			n++
			if f[2] > thirdOfThree {
				third++
			}
		}
	}
	return float64(third) / float64(max(1, n))
}

// slipped reports whether all that speaks for two copies is a shift of one base
// that begins in a long run of one base, as slips of the polymerase make it. The
// place of a missing base of a run may be told anywhere in it.
func slipped(r *seqqc.Read, path []segment) bool {
	first := -1
	for _, g := range path {
		switch d := g.shift(); {
		case g.state == stateOf(0):
		case g.state == apart, d != 1 && d != -1:
			return false
		case first < 0:
			first = r.Copies.Looked.Start + g.start
		}
	}
	bases := r.Trace.Bases
	run := 0
	for i := max(1, first-slipReach); i < min(len(bases), first+slipReach); i++ {
		if bases[i] != bases[i-1] {
			run = 0
		}
		if run++; run >= slipRun {
			return true
		}
	}
	return false
}

const (
	// leastUnlike is the least number of unlike bases of two organisms.
	leastUnlike = 40
	// slipRun is the length of a run behind which slips are usual (common
	// practice, no source); slipReach how far from the shift it is looked for.
	slipRun, slipReach = 8, 20
	// mostSlip is the largest share of the signal, in percent, that slips are
	// taken to explain.
	mostSlip = 35
	// mostChanges is the largest number of places where two copies of one
	// genome differ in length; common practice, no source.
	mostChanges = 4
	// noiseSites is the percentage of sites that noise seems to add for each
	// unit of it, as measured on simulated reads of two alleles: 12 % where the
	// third peak is 8 % of the signal.
	noiseSites = 150
)
