package seqqc

// DecisionKind says what a person decided.
type DecisionKind string

// The kinds of decision. A file may hold kinds of a later version.
const (
	DecideBase       DecisionKind = "base"        // the code at a place of the contig
	DecideOpen       DecisionKind = "leave_open"  // the place was looked at and stays as it is
	DecideWindow     DecisionKind = "kept_window" // the kept stretch of a read
	DecideAside      DecisionKind = "set_aside"   // the read is not used
	DecideVerdict    DecisionKind = "verdict"     // accepted or overruled
	DecideName       DecisionKind = "final_name"  // the name of the specimen
	DecideSubmission DecisionKind = "submission"  // submit or hold
	DecideNote       DecisionKind = "note"        // words only
	DecideUndo       DecisionKind = "undo"        // an earlier decision no longer counts
)

// The answers of a DecideSubmission.
const (
	Submit = "submit"
	Hold   = "hold"
)

// Decision is one thing a person decided about a voucher. Only the fields of
// its kind are set. Decisions are never changed: a later one about the same
// thing takes the place of an earlier one, and an undo takes one back.
type Decision struct {
	ID string `json:"id"`
	// When is in RFC 3339.
	When    string       `json:"when"`
	Who     string       `json:"who"`
	Voucher string       `json:"voucher"`
	What    DecisionKind `json:"what"`
	// Place is that of a DecideBase or DecideOpen.
	Place *Place `json:"place,omitempty"`
	// Code is the nucleotide code of a DecideBase in the direction of the read
	// that Place names, "-" for no base.
	Code string `json:"code,omitempty"`
	// File is the read of a DecideWindow or DecideAside, Kept the stretch of the
	// former in positions of the read.
	File string    `json:"file,omitempty"`
	Kept *Interval `json:"kept,omitempty"`
	// Found is the program's verdict that a DecideVerdict is about, Verdict the
	// one that the person gives: the same where it is accepted.
	Found   VerdictKind `json:"found,omitempty"`
	Verdict VerdictKind `json:"verdict,omitempty"`
	// Name is that of a DecideName as written.
	Name string `json:"name,omitempty"`
	// Submission is Submit or Hold.
	Submission string `json:"submission,omitempty"`
	// Undoes is the ID of the decision that a DecideUndo takes back.
	Undoes string `json:"undoes,omitempty"`
	Why    string `json:"why,omitempty"`
}

// Place is a place of a contig, named by a base of one of its reads, so that it
// is found again when the contig has been put together anew.
type Place struct {
	File string `json:"file"`
	// At is the position in the read, in its own direction.
	At int `json:"at"`
	// Around are the read's bases from PlaceReach before At to PlaceReach behind
	// it, fewer at its ends: a read that was called anew is told by them.
	Around string `json:"around"`
}

// PlaceReach is how many bases on each side Place.Around holds.
const PlaceReach = 5

// PlaceIn names a base of a read; at must lie in the read.
func PlaceIn(r *Read, at int) Place {
	return Place{File: r.File, At: at, Around: around(r.Trace.Bases, at)}
}

// StandsIn reports whether the read still has the same bases at the place.
func (p Place) StandsIn(r *Read) bool {
	return r.File == p.File && r.Trace != nil && p.At >= 0 && p.At < len(r.Trace.Bases) && around(r.Trace.Bases, p.At) == p.Around
}

func around(bases []byte, at int) string {
	return string(bases[max(0, at-PlaceReach):min(len(bases), at+PlaceReach+1)])
}

// Edit is a place of a contig that a person decided.
type Edit struct {
	// At is the position in the contig after all edits, where the contig has no
	// base for it that before which it would stand.
	At int `json:"at"`
	// Was and Code are what the contig had and has, "-" for no base.
	Was  string `json:"was"`
	Code string `json:"code"`
	// Open is true where the person left the place as it was.
	Open bool `json:"open,omitempty"`
	// Decision is its ID; By and Why are that decision's.
	Decision string `json:"decision"`
	By       string `json:"by"`
	Why      string `json:"why,omitempty"`
}

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
	Submission    string `json:"submission,omitempty"`
	SubmissionWhy string `json:"submission_why,omitempty"`
	// Why is that of the verdict.
	Why string `json:"why,omitempty"`
	// Edits counts the bases, windows and reads that were changed by hand.
	Edits int `json:"edits,omitempty"`
}
