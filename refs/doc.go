// Package refs holds the reference library: its records, the names and
// lineages on them, and the search for the nearest ones. Of forayseq it
// imports only package align.
package refs
