// Package seqqc holds the domain types of forayseq: what a voucher, a read, a
// contig, a hit, a finding and a verdict are. It does no input or output.
//
// Each stage of the work is a package below this one and takes and gives
// these types; package batch runs the stages in order. All coordinates are
// half-open and 0-based; all percentages run from 0 to 100; qualities are
// Phred values, -10 log10 of the probability of error (Ewing & Green 1998,
// Genome Research 8: 186-194, DOI 10.1101/gr.8.3.186).
package seqqc
