package seqqc

// Contig is the sequence of one sample, put together from its reads.
type Contig struct {
	// Bases are upper-case nucleotide codes; Quals are Phred values, one a
	// base.
	Bases []byte `json:"-"`
	Quals []byte `json:"-"`
	// Sequence and Phred33 are Bases and Quals as text for the reports.
	Sequence string `json:"sequence"`
	Phred33  string `json:"phred33"`
	// Reads says which reads took part and where they lie.
	Reads []ReadPlacement `json:"reads"`
	// Disagreements are the contig positions where reads differ.
	Disagreements []Disagreement `json:"disagreements,omitempty"`
	// PredictedErrors is the sum of the consensus error probabilities, as Quals
	// give them; N claims nothing and is not counted. Under the flag
	// quality_missing some or all of it is a stand-in.
	PredictedErrors float64 `json:"predicted_errors"`
	// Ambiguous counts the codes other than A, C, G and T, not those of Gap.
	Ambiguous int `json:"ambiguous"`
	// Gap is the stretch of N between the two parts of a two-part contig;
	// empty otherwise. Its length is not known.
	Gap    Interval `json:"gap"`
	Region Region   `json:"region"`
	// Variants are single sites at which copies within the specimen differ.
	Variants []Variant `json:"variants,omitempty"`
	// Second is the other allele, nil where none was read.
	Second *SecondCopy `json:"second,omitempty"`
	// Edits are the places that a person decided, in contig order.
	Edits []Edit `json:"edits,omitempty"`
	// OtherStrandPct is the share of the signal, in percent, that is of the
	// other strand of the same DNA; 0 where the traces show none.
	OtherStrandPct float64  `json:"other_strand_pct,omitempty"`
	Flags          []Flag   `json:"flags,omitempty"`
	Notes          []string `json:"notes,omitempty"`
}

// ReadPlacement is where a read lies along the contig.
type ReadPlacement struct {
	File string `json:"file"`
	// On is the stretch of the contig, Of the stretch of the read (in the
	// read's own direction) that lies there.
	On Interval `json:"on"`
	Of Interval `json:"of"`
	// Complemented is true where the read was reversed and complemented.
	Complemented bool `json:"complemented"`
}

// Disagreement is a place where the reads of a contig differ.
type Disagreement struct {
	// At is the contig position; for a base that the consensus left out, the
	// position it would have stood before.
	At int `json:"at"`
	// Code is what the contig has there, '-' where it has nothing.
	Code    string     `json:"code"`
	Quality int        `json:"quality"`
	Calls   []ReadCall `json:"calls"`
}

// ReadCall is what one read says at a place.
type ReadCall struct {
	File string `json:"file"`
	// At is the position in the read, in its own direction; for a gap, the
	// position of the base before it in contig direction.
	At int `json:"at"`
	// Base is the call in contig direction, "-" for a gap.
	Base    string `json:"base"`
	Quality int    `json:"quality"`
}

// Region says which parts of the ribosomal DNA a contig covers, in contig
// coordinates after the contig was brought to the coding strand. An empty
// interval was not found.
type Region struct {
	// Located is true where at least one border was found.
	Located bool     `json:"located"`
	SSU     Interval `json:"ssu"`
	ITS1    Interval `json:"its1"`
	R58S    Interval `json:"5_8s"`
	ITS2    Interval `json:"its2"`
	LSU     Interval `json:"lsu"`
	// ITS1Whole and ITS2Whole are true where both ends of the spacer were seen.
	ITS1Whole bool `json:"its1_whole"`
	ITS2Whole bool `json:"its2_whole"`
	// Complemented is true where the contig came on the other strand and was
	// reversed and complemented.
	Complemented bool `json:"complemented"`
	// NotITS says what the sequence looks like where it is no ITS; empty where
	// it is, or where nothing can be said. A protein-coding gene is told where
	// nothing was located.
	NotITS string `json:"not_its,omitempty"`
	// Text is a short account such as "ITS1-5.8S-ITS2" or "ITS1(part)-5.8S".
	Text string `json:"text"`
	// Lengths says how long the parts are, in bases: "ITS1 231, 5.8S 156, ITS2
	// at least 120".
	Lengths string `json:"lengths,omitempty"`
	// Kingdom is what the 5.8S alone looks like (Fungi, Plantae, Animalia,
	// Chromista), empty where that cannot be told; KingdomMargin is by how many
	// bases more the 5.8S differs from the next kingdom.
	Kingdom       string `json:"kingdom_by_5_8s,omitempty"`
	KingdomMargin int    `json:"kingdom_margin,omitempty"`
}

// ITS gives the stretch to compare: ITS1 to ITS2 as far as located, the whole
// contig of n bases where nothing was.
func (r Region) ITS(n int) Interval {
	whole := Interval{0, n}
	if !r.Located {
		return whole
	}
	var span Interval
	for _, part := range []Interval{r.ITS1, r.R58S, r.ITS2} {
		switch {
		case part.Empty():
		case span.Empty():
			span = part
		default:
			span.Start, span.End = min(span.Start, part.Start), max(span.End, part.End)
		}
	}
	if span.Empty() {
		return whole
	}
	return span
}
