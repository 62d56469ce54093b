package seqqc

import "forayseq/refs"

// VerdictKind is what was decided about a voucher.
type VerdictKind string

// The verdicts.
const (
	Agrees       VerdictKind = "agrees"
	Refines      VerdictKind = "refines"
	Consistent   VerdictKind = "consistent"
	Renamed      VerdictKind = "renamed"
	Conflict     VerdictKind = "conflict"
	Overgrowth   VerdictKind = "overgrowth"
	NonFungal    VerdictKind = "non_fungal"
	Undetermined VerdictKind = "undetermined"
)

// VerdictKinds lists the verdicts in the order the reports count them.
var VerdictKinds = []VerdictKind{Agrees, Refines, Consistent, Renamed, Conflict, Overgrowth, NonFungal, Undetermined}

// ReasonCode says why no test was possible.
type ReasonCode string

// The reason codes of an undetermined verdict.
const (
	NoSequence             ReasonCode = "no_sequence"
	PoorSequence           ReasonCode = "poor_sequence"
	NotITS                 ReasonCode = "not_its"
	SamplesDisagree        ReasonCode = "samples_disagree"
	NoMatch                ReasonCode = "no_match"
	TooDistant             ReasonCode = "too_distant"
	ReferencesDisagree     ReasonCode = "references_disagree"
	ReferencesUnnamed      ReasonCode = "references_unnamed"
	LineageUnknown         ReasonCode = "lineage_unknown"
	FieldGenusNotInLibrary ReasonCode = "field_genus_not_in_library"
	NoFieldName            ReasonCode = "no_field_name"
	FieldNameUnknown       ReasonCode = "field_name_unknown"
	Control                ReasonCode = "control"
)

// Question is the place of a finding in the order in which a coordinator
// would ask: the first question with an answer decides the verdict.
type Question int

// The questions in order.
const (
	AskControl Question = iota + 1
	AskSequence
	AskSamples
	AskITS
	AskReference
	AskReferencesAgree
	AskFieldName
	AskKingdom
	AskOvergrowth
	AskRenamed
	AskRelation
	// AskNothing marks findings that only add a flag.
	AskNothing
)

// Finding is what one rule has to say about a voucher.
type Finding struct {
	Rule     string   `json:"rule"`
	Question Question `json:"question"`
	// Verdict is empty for a finding that only adds flags.
	Verdict    VerdictKind `json:"verdict,omitempty"`
	ReasonCode ReasonCode  `json:"reason_code,omitempty"`
	AgreeRank  refs.Rank   `json:"agree_rank,omitempty"`
	PartsAt    refs.Rank   `json:"parts_at,omitempty"`
	Flags      []Flag      `json:"flags,omitempty"`
	// Attention is true where this finding asks a coordinator to look.
	Attention bool `json:"attention,omitempty"`
	// Reason and NextStep are one plain sentence each.
	Reason   string `json:"reason"`
	NextStep string `json:"next_step"`
}

// Verdict is the decision about one voucher.
type Verdict struct {
	Kind       VerdictKind `json:"verdict"`
	ReasonCode ReasonCode  `json:"reason_code,omitempty"`
	AgreeRank  refs.Rank   `json:"agree_rank,omitempty"`
	PartsAt    refs.Rank   `json:"parts_at,omitempty"`
	Flags      []Flag      `json:"flags,omitempty"`
	Reason     string      `json:"reason"`
	NextStep   string      `json:"next_step"`
	// Rule is the rule whose finding decided; Others are the later findings.
	Rule   string    `json:"rule"`
	Others []Finding `json:"other_findings,omitempty"`
	// Attention is true where a coordinator should look.
	Attention bool `json:"attention"`
	// Causes are what may lie behind it, the likeliest first; empty where
	// nothing needs attention.
	Causes []Cause `json:"causes,omitempty"`
}
