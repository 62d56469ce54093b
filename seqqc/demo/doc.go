// Package demo writes the batch of an invented mushroom club: voucher sheet,
// reads, reference library, and the truth of what was built into each voucher.
//
// Every sequence in it is synthetic. Genera and higher groups bear real names,
// so that names and lineages work as in a real batch; every species epithet
// (synprima, synsecunda ...), person, place and the club itself are invented,
// and no sequence says anything about the organism whose name it bears.
//
// The spacers of the library descend from one another along an invented tree
// (see clades), so that species, genera, families and orders lie at distances
// like those of real ones; the conserved parts follow published primer sites
// and motifs (see package simulate).
package demo
