package doubts

import (
	"forayseq/seqqc"
)

// Kind says what is in doubt at a place.
type Kind string

// The kinds, in the order in which they go before one another where several
// meet at one place.
const (
	Disagreement Kind = "disagreement" // reads differ
	Variant      Kind = "variant"      // copies within the specimen differ
	DoublePeak   Kind = "double_peak"  // a read shows two peaks
	OpenCode     Kind = "open_code"    // the contig has a code of several bases
)

// Stake is what hangs on the answer, more with a higher number.
type Stake int

// The stakes.
const (
	// Outside: the place is not part of what was compared; only the sequence to
	// be submitted changes.
	Outside Stake = iota
	// Figures: the identity changes, and nothing that is concluded from it.
	Figures
	// Conclusion: a threshold is crossed, or another species becomes the
	// nearest, so that the verdict or its rank may change.
	Conclusion
)

// String gives "outside", "figures" or "conclusion".
func (s Stake) String() string {
	switch s {
	case Conclusion:
		return "conclusion"
	case Figures:
		return "figures"
	}
	return "outside"
}

// MarshalText gives the same word as String.
func (s Stake) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// Card is one question about a place of a contig.
type Card struct {
	Kind Kind `json:"kind"`
	// Sample is the index of the sample in the voucher.
	Sample int `json:"sample"`
	// At is the position in the contig; where Present is false the contig has no
	// base there, and one would stand before At.
	At      int  `json:"at"`
	Present bool `json:"present"`
	// Part is the part of the repeat, empty where it is not located.
	Part string `json:"part,omitempty"`
	// Code is what the contig has, "-" for no base, Quality its Phred value.
	Code    string `json:"code"`
	Quality int    `json:"quality"`
	// Before and After are the contig's bases beside the place.
	Before string `json:"before"`
	After  string `json:"after"`

	Question string `json:"question"`
	// Says is what the evidence says, one plain sentence each.
	Says    []string `json:"says"`
	Strands []Strand `json:"strands"`
	// Answers are the codes that may be right, that of the contig first.
	Answers []Answer `json:"answers"`
	Stake   Stake    `json:"stake"`
	// Why says in a sentence what hangs on the answer.
	Why string `json:"why"`
	// Settled is true where the contig's base is as sure as SettledQuality in
	// spite of what speaks against it.
	Settled bool `json:"settled"`
}

// SettledQuality is the quality from which a plain base of the contig counts as
// settled: one error in a thousand (Q30).
const SettledQuality = 30

// Answer is one possible answer.
type Answer struct {
	// Code is a nucleotide code in contig direction, "-" for no base.
	Code string `json:"code"`
	// Says tells what would follow; empty where nothing was compared there.
	Says string `json:"says,omitempty"`
	// IdentityPct is the identity to the best hit with this answer, 0 where
	// nothing was compared there.
	IdentityPct float64 `json:"identity_pct,omitempty"`
	// Crosses is true where a conclusion may change.
	Crosses bool `json:"crosses,omitempty"`
}

// Strand is one read at the place of a card.
type Strand struct {
	File   string `json:"file"`
	Primer string `json:"primer,omitempty"`
	// Complemented is true where the read lies in the contig on the other
	// strand; Call, Major, Minor and Peaks are in contig direction all the same.
	Complemented bool `json:"complemented"`
	// At is the position in the read, in its own direction; where the read has no
	// base there, that of the base before it in contig direction.
	At int `json:"at"`
	// Place names the place for a decision; nil where the trace is not at hand.
	Place *seqqc.Place `json:"place,omitempty"`
	// Call is the read's base, "-" for none.
	Call string `json:"call"`
	// Quality is the call's Phred value; Qualities is false where the read has
	// none.
	Quality   int  `json:"quality"`
	Qualities bool `json:"qualities"`
	// Major and Minor are the bases of the highest peak and of the next, and
	// MinorPct the next one's part of the two heights; empty where the signal
	// does not tell.
	Major    string  `json:"major,omitempty"`
	Minor    string  `json:"minor,omitempty"`
	MinorPct float64 `json:"minor_pct,omitempty"`
	// Peaks is the trace around the place, nil where there is none at hand.
	Peaks *Peaks `json:"peaks,omitempty"`
}

// Peaks is a window of a trace in contig direction, resampled.
type Peaks struct {
	// A, C, G and T are heights from 0 to PeakTop at points evenly spaced along
	// the trace, the highest of the window being PeakTop.
	A []int `json:"a"`
	C []int `json:"c"`
	G []int `json:"g"`
	T []int `json:"t"`
	// Bases are the calls in the window.
	Bases []PeakBase `json:"bases"`
	// Mark is where the doubt is, in thousandths of the window's width.
	Mark int `json:"mark"`
	// Noise is the height that chance alone rarely reaches, on the scale of the
	// channels; 0 where it is not known.
	Noise int `json:"noise,omitempty"`
	// top is the height of PeakTop in trace units.
	top float64
}

// PeakTop is the height of the highest peak of a window.
const PeakTop = 100

// PeakBase is one call of a window.
type PeakBase struct {
	// X is the place of its peak in thousandths of the window's width.
	X       int    `json:"x"`
	Base    string `json:"base"`
	Quality int    `json:"quality"`
	// Doubt is true for the base the card is about.
	Doubt bool `json:"doubt,omitempty"`
}

// Channels gives the four channels in the order A, C, G, T.
func (p *Peaks) Channels() [4][]int { return [4][]int{p.A, p.C, p.G, p.T} }
