package verdict

import (
	"fmt"

	"forayseq/align"
	"forayseq/seqqc"
)

// Usable reports whether a contig can be compared at all and, where it cannot,
// why, in words that follow "because".
func Usable(c *seqqc.Contig, p Params) (bool, string) {
	if c == nil || len(c.Bases) == 0 {
		return false, "there is no sequence"
	}
	w := weigh(c)
	switch {
	case w.plain < p.MinBases:
		return false, fmt.Sprintf("only %s lie in the stretch to compare, and %d are needed", seqqc.Count(w.plain, "clear base"), p.MinBases)
	case w.hasErrors && w.errorPct() > p.MaxErrorPct:
		return false, fmt.Sprintf("about %.0f of its %d bases are probably misread (%s %%, at most %s %% are allowed)",
			w.errors, w.bases, figure(w.errorPct()), figure(p.MaxErrorPct))
	case w.ambiguousPct() > p.MaxAmbiguousPct:
		return false, fmt.Sprintf("%d of its %d bases are not clear (%s %%, at most %s %% are allowed)",
			w.ambiguous, w.bases, figure(w.ambiguousPct()), figure(p.MaxAmbiguousPct))
	}
	return true, ""
}

// Choose gives the index of the sample the verdict rests on, -1 where none has
// a usable contig. A sequence of the ITS goes before any other; then the one
// with the largest sum over its bases of (MaxErrorPct - predicted error), so
// that length counts for a sequence and errors against it by the limit that
// makes it usable; then the first. A sequence without qualities has a sum of
// zero: it is chosen only where nothing better is there.
func Choose(samples []seqqc.SampleResult, p Params) int {
	best, bestITS, bestSum := -1, false, 0.0
	for i := range samples {
		c := samples[i].Contig
		if ok, _ := Usable(c, p); !ok {
			continue
		}
		w := weigh(c)
		its := c.Region.NotITS == ""
		sum := 0.0
		if w.hasErrors {
			sum = float64(w.plain) * (p.MaxErrorPct - w.errorPct()) / 100
		}
		if best < 0 || its && !bestITS || its == bestITS && sum > bestSum {
			best, bestITS, bestSum = i, its, sum
		}
	}
	return best
}

// weight holds the figures that decide whether a contig is usable.
type weight struct {
	bases     int // of the contig, less the stretch of unknown length in a two-part one
	plain     int // A, C, G and T in the stretch to compare
	ambiguous int // other codes
	errors    float64
	hasErrors bool // false where the reads had no qualities to predict errors from
}

func weigh(c *seqqc.Contig) weight {
	w := weight{errors: c.PredictedErrors, hasErrors: true}
	for _, f := range c.Flags {
		// Stand-in qualities say nothing about the number of errors.
		if f == seqqc.QualityMissing {
			w.hasErrors = false
		}
	}
	span := compared(c)
	for i, b := range c.Bases {
		if i >= c.Gap.Start && i < c.Gap.End {
			continue
		}
		w.bases++
		switch {
		case !align.Plain(b):
			w.ambiguous++
		case i >= span.Start && i < span.End:
			w.plain++
		}
	}
	return w
}

// compared gives the stretch that the limits are about: the ITS, or the whole
// sequence where it is known to be something else (that is told as such, not
// as a short ITS).
func compared(c *seqqc.Contig) seqqc.Interval {
	if c.Region.NotITS != "" {
		return seqqc.Interval{Start: 0, End: len(c.Bases)}
	}
	return c.Region.ITS(len(c.Bases))
}

func (w weight) errorPct() float64 {
	if w.bases == 0 {
		return 0
	}
	return 100 * w.errors / float64(w.bases)
}

func (w weight) ambiguousPct() float64 {
	if w.bases == 0 {
		return 0
	}
	return 100 * float64(w.ambiguous) / float64(w.bases)
}
