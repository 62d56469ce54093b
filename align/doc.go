// Package align holds the alignment kernels and what is counted on an
// alignment. It imports nothing else of forayseq.
//
// Sequences are byte slices of nucleotide codes (see Mask). All coordinates
// are half-open and 0-based.
package align
