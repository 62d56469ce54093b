package seqqc

// Reviewed is what a person decided about a voucher, as far as it stands after
// all the decisions of the batch.
type Reviewed struct {
	// By and When are those of the last decision that counts, When in RFC 3339.
	By   string `json:"by"`
	When string `json:"when"`
	// Kind is the verdict that the person gave instead of the program's, empty
	// where that was accepted or left open; Accepted is true where it was
	// accepted.
	Kind     VerdictKind `json:"verdict,omitempty"`
	Accepted bool        `json:"accepted,omitempty"`
	// FinalName is the name the person gave the specimen, as written.
	FinalName string `json:"final_name,omitempty"`
	// Submission is "" (nothing decided), "submit" or "hold".
	Submission string `json:"submission,omitempty"`
	Why        string `json:"why,omitempty"`
	// Edits counts the bases, windows and reads that were changed by hand.
	Edits int `json:"edits,omitempty"`
}
