//go:build !amd64 || purego

package align

// laneForms are none: one by one an Aligner, which leaves out what cannot
// matter, is faster than lanes in Go.
func laneForms() []laneForm { return nil }
