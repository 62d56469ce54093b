package seqqc

import "forayseq/refs"

// Chimera is what speaks for a contig joined from the DNA of two organisms:
// two references of different genera, each of which fits one side of a
// breakpoint and not the other, while no reference fits the whole.
type Chimera struct {
	// Left fits the contig before the breakpoint, Right behind it.
	Left  Parent `json:"left"`
	Right Parent `json:"right"`
	// Breakpoint is where in the contig the change lies, anywhere from Start to
	// End, End included: between the two the parents fit alike. In names the parts
	// of the repeat it lies in ("ITS1", "5.8S or ITS2"), empty where nothing was
	// located.
	Breakpoint Interval `json:"breakpoint"`
	In         string   `json:"breakpoint_in,omitempty"`
	Joint      Joint    `json:"joint"`
	// SingleErrors are the differences (substitutions and gaps, a gap counting
	// once) of the best single reference from the contig, PairErrors those of the
	// two parents on their sides.
	SingleErrors int `json:"single_errors"`
	PairErrors   int `json:"pair_errors"`
}

// Parent is the reference that one side of a chimera looks like.
type Parent struct {
	Record    int          `json:"record"` // index in the library
	Reference string       `json:"reference"`
	Name      refs.Name    `json:"name"`
	Lineage   refs.Lineage `json:"lineage"`
	// OnContig is the side; IdentityPct the identity over it, OtherPct that of
	// the same reference over the other side.
	OnContig    Interval `json:"on_contig"`
	IdentityPct float64  `json:"identity_pct"`
	OtherPct    float64  `json:"other_pct"`
}

// Joint says what holds the two sides of a chimera together.
type Joint string

// The joints.
const (
	// JointInRead: a read runs across the breakpoint, so that the molecules
	// were joined before they were sequenced, as in the PCR.
	JointInRead Joint = "in_read"
	// JointOfReads: each read fits one side alone, so that reads of two
	// specimens were put together.
	JointOfReads Joint = "of_reads"
	// JointUnknown: the reads are not known, or do not tell.
	JointUnknown Joint = "unknown"
)
