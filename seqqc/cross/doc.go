// Package cross compares the vouchers of a batch with one another: their DNA,
// their labels, their places on the plates and their reads.
//
// A voucher's own verdict cannot tell a wrong field name from an exchanged
// tube. That the DNA of A fits the label of B and the DNA of B that of A can.
// How much it tells depends on the batch: where all vouchers are of one genus it
// tells nothing. So each pattern says how many as good ones there would be if
// labels had been dealt out at random, and is told as found only where that is
// less than Params.MaxExpected; see the files of the patterns for the formulas.
package cross
