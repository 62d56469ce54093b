package seqqc

// Interval is a half-open, 0-based stretch [Start, End) of a sequence.
type Interval struct {
	Start int `json:"start"`
	End   int `json:"end"`
}

// Len gives the number of positions, zero for an empty interval.
func (v Interval) Len() int { return max(0, v.End-v.Start) }

// Empty reports whether the interval holds no position.
func (v Interval) Empty() bool { return v.End <= v.Start }

// Contains reports whether w lies in v; an empty w never does.
func (v Interval) Contains(w Interval) bool {
	return !w.Empty() && v.Start <= w.Start && w.End <= v.End
}

// Direction is the direction of a read along its amplicon.
type Direction int8

// The directions.
const (
	UnknownDirection Direction = 0
	Forward          Direction = 1
	Reverse          Direction = -1
)

// String gives "forward", "reverse" or "unknown".
func (d Direction) String() string {
	switch d {
	case Forward:
		return "forward"
	case Reverse:
		return "reverse"
	}
	return "unknown"
}

// MarshalText gives the same word as String.
func (d Direction) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// Trace is what one sequencing file holds.
type Trace struct {
	// Format is "ABIF", "SCF", "FASTQ" or "FASTA".
	Format string
	// Name is the sample or record name inside the file.
	Name string
	// Bases are upper-case nucleotide codes as the base caller (or its editor)
	// left them.
	Bases []byte
	// Quals are Phred values, one a base, nil where the file has none. All
	// zero is no information: HasQuals tells.
	Quals []byte
	// Peaks gives for each base the index of its peak in Channels, never
	// decreasing and each below the channels' length (where there are
	// channels), nil where the file has none.
	Peaks []int
	// Channels are the analysed traces of A, C, G and T in that order, of
	// equal length, nil where the file has none. Values may be negative.
	Channels [4][]int32
	// Edited reports that Bases are edited and differ from Called.
	Edited bool
	// Called are the bases as first called, nil where they are Bases.
	Called []byte

	Well    string // capillary or plate well, as written
	Model   string // instrument model, as written
	RunDate string // YYYY-MM-DD, empty where unknown
	// Notes are the leniencies a reader took, in plain words.
	Notes []string
}

// HasQuals reports whether the qualities carry information: present, and not
// all zero.
func (t *Trace) HasQuals() bool {
	for _, q := range t.Quals {
		if q > 0 {
			return true
		}
	}
	return false
}

// HasChannels reports whether the four traces and the peak positions are there.
func (t *Trace) HasChannels() bool {
	return len(t.Channels[0]) > 0 && len(t.Peaks) == len(t.Bases) && len(t.Bases) > 0
}

// Read is one input file or record on its way through the stages.
type Read struct {
	// File names the input: the path below the batch folder with slashes; for
	// a member of an archive "lab.zip/inner/name.ab1"; for one of several
	// records "file.fasta#name".
	File  string `json:"file"`
	Trace *Trace `json:"-"`
	// Signal is the peak evidence of Trace, nil where it has no channels.
	Signal *Signal `json:"-"`
	// Copies is what the trace shows of a second template, nil where it was not
	// looked at.
	Copies *Copies `json:"copies,omitempty"`
	// Format is the Trace's, kept for the reports.
	Format string `json:"format"`

	// Voucher is the code of the voucher the read was tied to, empty where it
	// was not tied.
	Voucher string `json:"voucher,omitempty"`
	Sample  string `json:"sample,omitempty"`
	// Untied says why a read has no voucher, with the candidates named.
	Untied string `json:"untied,omitempty"`
	Primer string `json:"primer,omitempty"`
	// Partner is the primer at the other end of the read's amplicon, empty
	// where it is not known.
	Partner   string    `json:"partner,omitempty"`
	Direction Direction `json:"direction"`
	Run       string    `json:"run,omitempty"`

	Stats ReadStats `json:"stats"`
	// Kept is the stretch of Trace.Bases that trimming kept: quality window
	// less primers.
	Kept Interval `json:"kept"`
	// KeptByHand is true where a person chose Kept: trimming then leaves it as it
	// is.
	KeptByHand bool `json:"kept_by_hand,omitempty"`
	// Primers are the primer sites found, in read coordinates.
	Primers []PrimerSite `json:"primers,omitempty"`
	// Usable is false where nothing worth keeping was left; Why says why.
	Usable bool     `json:"usable"`
	Why    string   `json:"why,omitempty"`
	Flags  []Flag   `json:"flags,omitempty"`
	Notes  []string `json:"notes,omitempty"`
}

// ReadStats are the figures of one read. Counts of quality are over the kept
// stretch unless they say otherwise.
type ReadStats struct {
	Bases       int     `json:"bases"` // whole read
	KeptBases   int     `json:"kept_bases"`
	MeanQuality float64 `json:"mean_quality"`
	Q20         int     `json:"q20"` // bases of at least Q20
	Q30         int     `json:"q30"` // bases of at least Q30
	// PredictedErrors is the sum of the error probabilities; NaN is never
	// used: Qualities false means there was nothing to sum.
	PredictedErrors float64 `json:"predicted_errors"`
	Qualities       bool    `json:"qualities"`
	Ns              int     `json:"ns"`
	// SignalToNoise is the median, over the kept bases, of the called peak's
	// height over the height of the highest other channel at that place; zero
	// where there are no traces.
	SignalToNoise float64 `json:"signal_to_noise"`
}

// PrimerSite is a stretch of a read that a primer (or its reverse complement)
// matches.
type PrimerSite struct {
	Primer     string   `json:"primer"`
	At         Interval `json:"at"`
	Reverse    bool     `json:"reverse_complement"`
	Mismatches int      `json:"mismatches"`
	// Cut is true where the site ends the read's own amplicon and was removed
	// with what lies beyond it.
	Cut bool `json:"cut"`
}
