package seqqc

// CopyKind says how many templates the trace of a read shows, and how they lie
// to one another.
type CopyKind string

// The kinds.
const (
	// CopiesUntold: the trace does not tell, for it is missing, too short or
	// too noisy.
	CopiesUntold CopyKind = "untold"
	// OneCopy: a single template, or several that are alike.
	OneCopy CopyKind = "one"
	// CopiesInStep: two that differ at single sites.
	CopiesInStep CopyKind = "in_step"
	// CopiesShifted: two of which one lacks bases of the other, so that peaks
	// are double on one side of the place.
	CopiesShifted CopyKind = "shifted"
	// CopiesApart: two that are unlike in most of what was read.
	CopiesApart CopyKind = "apart"
	// CopiesOfBothStrands: one, with the other strand of the same DNA on top of
	// it, as left-over primer of the amplification gives it.
	CopiesOfBothStrands CopyKind = "both_strands"
	// ManyCopies: more than two, or two that do not explain the trace.
	ManyCopies CopyKind = "many"
)

// Copies says how many templates the trace of a read shows. Positions are
// bases of the read, in its own direction.
type Copies struct {
	Kind CopyKind `json:"kind"`
	// LogOdds is the base-10 logarithm of how much likelier the trace is with
	// two templates than with one; 0 where one explains it best.
	LogOdds float64 `json:"log_odds"`
	// MinorPct is the share of the minor template in the signal, in percent; 0
	// where there is none.
	MinorPct float64 `json:"minor_pct,omitempty"`
	// Looked is the stretch of the read that was looked at.
	Looked Interval `json:"looked"`
	// Stretches divide Looked where two templates are not in step throughout.
	Stretches []CopyStretch `json:"stretches,omitempty"`
	// Sites are the double peaks where the templates are in step.
	Sites []DoublePeak `json:"sites,omitempty"`
	// Why says in plain words what speaks for the kind, or why nothing can be
	// told.
	Why string `json:"why,omitempty"`
}

// CopyStretch is a stretch of a read in which two templates lie to one another
// in one way.
type CopyStretch struct {
	At Interval `json:"at"`
	// Shift is the number of bases by which the minor template runs ahead of
	// the major one in reading direction, for it lacks them: negative where it
	// has more. 0 is in step.
	Shift int `json:"shift"`
	// Fresh is the number of bases at the start in which the template that
	// runs ahead shows what the other has not shown yet.
	Fresh int `json:"fresh,omitempty"`
	// Apart is true where the two have nothing to do with one another.
	Apart bool `json:"apart,omitempty"`
}

// DoublePeak is a place of a read with two peaks.
type DoublePeak struct {
	At int `json:"at"`
	// Major and Minor are the bases of the higher and the lower peak, and
	// MinorPct the lower one's part of the two heights.
	Major    string  `json:"major"`
	Minor    string  `json:"minor"`
	MinorPct float64 `json:"minor_pct"`
	// LogOdds is the base-10 logarithm of the odds that two copies differ here,
	// against a false peak.
	LogOdds float64 `json:"log_odds"`
}

// Variant is a difference between the contig and another copy in the same
// specimen.
type Variant struct {
	// At is the stretch of the contig that differs, empty for bases that the
	// contig lacks: they stand before At.Start.
	At Interval `json:"at"`
	// Contig are the contig's bases there, Other those of the other copy; each
	// may be empty. A code that the contig has for both is written in Contig.
	Contig string `json:"contig"`
	Other  string `json:"other"`
	// Quality is a Phred value: how sure the difference is.
	Quality int `json:"quality"`
	// Strands says which strands show it.
	Strands string `json:"strands"`
	// InCode is true where the contig has an ambiguity code for it; a
	// difference seen less surely is only noted.
	InCode bool `json:"in_code"`
}

// SecondCopy is the other allele of a contig.
type SecondCopy struct {
	Sequence string `json:"sequence"`
	Phred33  string `json:"phred33"`
	// SharePct is its share in the signal, in percent.
	SharePct float64 `json:"share_pct"`
	// Variants are its differences from the contig.
	Variants []Variant `json:"variants"`
	// Unclear are stretches of the contig where the two could not be told
	// apart for sure.
	Unclear []Interval `json:"unclear,omitempty"`
	// Text says in a sentence how the two differ, and why the contig is the one
	// it is.
	Text string `json:"text"`
}

// MinorTemplate is the sequence of a second organism read out of the traces
// of a sample.
type MinorTemplate struct {
	Contig   *Contig `json:"contig"`
	SharePct float64 `json:"share_pct"`
	// Match is what the library says about it, nil where it was not compared.
	Match *Match `json:"match,omitempty"`
}
