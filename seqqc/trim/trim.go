package trim

import (
	"fmt"
	"slices"

	"forayseq/seqqc"
)

// Trim decides what of r.Trace is kept. It sets Stats, Kept, Primers, Usable
// and Why, adds to Flags and Notes, and sets Direction where it was unknown
// and the read's own primer tells it. Coordinates are those of Trace.Bases.
//
// The order: the window of good quality (see Window; the whole read where
// there are no qualities), ends with too many ambiguous bases, primers. A
// read without qualities is kept as far as its ambiguous bases allow and is
// flagged quality_missing; no quality is made up for it. Where a person chose
// what is kept (KeptByHand) that stays, and the rest is worked out of it; it must
// lie in the read.
//
// A read that is not usable is no error: Usable is false and Why says why.
// An error means settings, or a stretch chosen by hand, that make no sense.
func Trim(r *seqqc.Read, p Params) error {
	if err := p.Validate(); err != nil {
		return err
	}
	byHand := r.Kept
	r.Stats, r.Kept, r.Primers = seqqc.ReadStats{}, seqqc.Interval{}, nil
	r.Usable, r.Why = false, ""
	t := r.Trace
	switch {
	case t == nil || len(t.Bases) == 0:
		r.Why = "the file holds no bases"
		return nil
	case len(t.Bases) > p.MaxBases:
		r.Stats.Bases = len(t.Bases)
		r.Why = fmt.Sprintf("%d bases are too many for a Sanger read (at most %d)", len(t.Bases), p.MaxBases)
		return nil
	}

	quals := t.HasQuals() && len(t.Quals) == len(t.Bases)
	window := seqqc.Interval{End: len(t.Bases)}
	if quals {
		window = Window(t.Quals, p.Limit)
	}
	window = clearEnds(t.Bases, window, p.EndWindow, p.EndAmbiguous)
	r.Kept = cutPrimers(r, window, p)
	if r.KeptByHand {
		if byHand.Empty() || byHand.Start < 0 || byHand.End > len(t.Bases) {
			return fmt.Errorf("%s: bases %d to %d are to be kept of %d", r.File, byHand.Start, byHand.End, len(t.Bases))
		}
		r.Kept, window = byHand, byHand
	}
	r.Stats = measure(t, r.Kept, quals)
	judge(r, window, p)
	return nil
}

// cutPrimers gives the window less the primers of the read's own amplicon,
// and records every site seen.
func cutPrimers(r *seqqc.Read, window seqqc.Interval, p Params) seqqc.Interval {
	bases := r.Trace.Bases
	starts := startOfAmplicon(bases, r, p)
	for _, s := range starts {
		window.Start = max(window.Start, s.at.End)
		if r.Direction == seqqc.UnknownDirection && !isTail(s.primer) {
			r.Direction = s.primer.Direction
			r.Notes = append(r.Notes, fmt.Sprintf("taken as a %s read: it begins with primer %s", r.Direction, s.primer.Name))
		}
	}
	ends := endOfAmplicon(bases, r, window, p)
	for _, s := range ends {
		window.End = min(window.End, s.at.Start)
	}
	window.End = max(window.Start, window.End)

	cut := append(starts, ends...)
	var named []string
	for _, s := range cut {
		named = append(named, s.primer.Name)
		r.Primers = append(r.Primers, s.export(true))
	}
	for _, s := range allSites(bases, named...) {
		if !slices.ContainsFunc(cut, func(c site) bool { return c.at == s.at }) {
			r.Primers = append(r.Primers, s.export(false))
		}
	}
	slices.SortStableFunc(r.Primers, func(a, b seqqc.PrimerSite) int {
		return firstNonZero(a.At.Start-b.At.Start, a.At.End-b.At.End)
	})
	return window
}

func (s site) export(cut bool) seqqc.PrimerSite {
	return seqqc.PrimerSite{
		Primer: s.primer.Name, At: s.at, Reverse: s.complement, Mismatches: s.mismatches, Cut: cut,
	}
}

// judge sets Usable, Why and the flags from what was kept.
func judge(r *seqqc.Read, window seqqc.Interval, p Params) {
	s := r.Stats
	var flags []seqqc.Flag
	if !s.Qualities {
		flags = append(flags, seqqc.QualityMissing)
	}
	ambiguous := countAmbiguous(r.Trace.Bases[r.Kept.Start:r.Kept.End])
	n := float64(s.KeptBases)
	switch {
	case window.Empty():
		r.Why = "no stretch of the read is of good quality"
		flags = append(flags, seqqc.LowQuality)
	case s.KeptBases < p.MinBases:
		r.Why = fmt.Sprintf("%s left after trimming, and at least %d are needed", basesWere(s.KeptBases), p.MinBases)
		flags = append(flags, seqqc.Short)
	case s.PredictedErrors > p.MaxErrorRate*n:
		r.Why = fmt.Sprintf("%.1f errors are expected in the %d bases kept, and at most %.1f may be",
			s.PredictedErrors, s.KeptBases, p.MaxErrorRate*n)
		flags = append(flags, seqqc.LowQuality)
	case float64(ambiguous) > p.MaxAmbiguousShare*n:
		r.Why = fmt.Sprintf("%d of the %d bases kept are ambiguous, and at most %d may be",
			ambiguous, s.KeptBases, int(p.MaxAmbiguousShare*n))
		flags = append(flags, seqqc.LowQuality)
	default:
		r.Usable = true
		if s.PredictedErrors > p.DoubtErrorRate*n {
			flags = append(flags, seqqc.LowQuality)
		}
	}
	r.Flags = seqqc.MergeFlags(r.Flags, flags)
}

func basesWere(n int) string {
	if n == 1 {
		return "1 base was"
	}
	return fmt.Sprintf("%d bases were", n)
}
