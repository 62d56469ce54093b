package seqqc

// Difference is a stretch at which a contig and a reference differ in their
// alignment: one substituted base, or a run of gap columns.
type Difference struct {
	// At is the stretch of the contig, empty for bases that the contig lacks:
	// they would stand before At.Start.
	At Interval `json:"at"`
	// OnReference is the stretch on the reference's own strand, empty for bases
	// that the reference lacks.
	OnReference Interval `json:"on_reference"`
	// Contig and Reference are the bases there in contig direction; one of them
	// may be empty.
	Contig    string `json:"contig"`
	Reference string `json:"reference"`
	// Before and After are the contig's bases beside the place, at most
	// DifferenceReach on each side.
	Before string `json:"before"`
	After  string `json:"after"`
	// Part names the part of the repeat ("ITS1", "5.8S"), empty where it is not
	// located.
	Part string `json:"part,omitempty"`
	// Quality is the lowest of the contig's qualities in At or, where At is
	// empty, of the bases beside it.
	Quality int `json:"quality"`
	// Code is true where the two differ only by an ambiguity code that holds
	// the other base: identical for IdentityPct, not for IdentityStrictPct; with
	// N the column is in neither count.
	Code bool `json:"code,omitempty"`
}

// DifferenceReach is how many bases on each side a Difference tells.
const DifferenceReach = 6

// PartAt names the part of the ribosomal repeat that position at lies in,
// empty where none was located there.
func (r Region) PartAt(at int) string {
	for _, part := range []struct {
		name string
		in   Interval
	}{{"SSU", r.SSU}, {"ITS1", r.ITS1}, {"5.8S", r.R58S}, {"ITS2", r.ITS2}, {"LSU", r.LSU}} {
		if part.in.Start <= at && at < part.in.End {
			return part.name
		}
	}
	return ""
}
