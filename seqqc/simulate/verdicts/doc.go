// Command verdicts measures verdicts and causes on vouchers of known truth: every
// cause is built into vouchers, which go through batch.Run like a club's.
//
//	go run ./seqqc/simulate/verdicts [-vouchers 1000] [-clean 1000] [-seed 1] [-real 0]
//
// A batch is a plate of 96 wells. In a mixed one three vouchers in four have a
// fault, far more than in any real batch, so that each fault is looked for among
// many others; one batch in eleven is a plate that was shifted or turned. Plates
// follow that are clean but for two exchanges. All share an invented library in which
// one species of each genus has a record under a wrong name.
//
// Two reads of each voucher go through the stages. Where what has to be found
// stands in the traces (two templates, poor reads, blanks) they are chromatograms,
// and so are those of one voucher in eight of the others; the rest are called
// bases with qualities, and errors as these predict, which costs a twentieth.
//
// With -real N, N published sequences are held out of the published library they
// are from (TreeBASE by way of supertreebase at d9efa865; FORAYSEQ_OPEN_DATA names
// the folder) and tested under their own names and under wrong ones.
//
// Shares are given with the 95 % interval of Wilson 1927 (Journal of the
// American Statistical Association 22: 209-212). Vouchers of one batch share a
// library and its genera, so the intervals are somewhat too narrow.
package main
