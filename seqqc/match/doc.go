// Package match asks the reference library what a contig is: it compares the
// contig's ITS with the references, and lets those nearest to it vote, rank by
// rank, on what the DNA's taxon is. The list is exact: what it holds is what
// aligning every reference would give.
package match
