// Package alleles tells how many templates a trace shows, and reads them apart.
//
// A specimen may hold two copies of its ITS that differ at a base (a double
// peak) or by an insertion (clean up to a point, double from there on), and a
// tube may hold two organisms (double throughout). Look says which it is of one
// read; Split reads both templates out of a read; Compare, Sites and Subtract
// bring what the reads of a sample show to its contig.
//
// The evidence is the heights of the four channels at each called base, after
// crosstalk and the flanks of neighbours were taken off (seqqc.Signal).
package alleles
