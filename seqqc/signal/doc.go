// Package signal reads the four traces of a read as a person does who looks
// at them: which peaks stand at each base, how far they can be trusted, and
// where the signal begins and ends.
//
// # Peak evidence
//
// Measure goes these steps; where no source is given, they are common
// practice.
//
//  1. Baseline of each channel: a low quantile of the minima of short
//     stretches (baseline.go).
//  2. Crosstalk: what stays of a dye in the channels beside it, estimated from
//     clean peaks of the read, and taken off (crosstalk.go).
//  3. Shape of a peak: the median outline of clean peaks around (shape.go).
//  4. Heights: each channel explained as a sum of such peaks, one a base, none
//     negative (heights.go). What a neighbour's peak explains is no peak here.
//  5. Noise: what the channels show that no base around was called from, and
//     from it which peaks are a summit, a shoulder or nothing (peaks.go).
//  6. Usable stretch, humps of dye, clipping, and loss of signal behind a run
//     of one base (extent.go).
//
// On ten real reads of one template, 10 of 5,530 calls of which the sequencer
// was sure (Q30) have a second peak above a fifth; in six reads in which a second
// sequence shows, a quarter to a half have (see the tests of package batch).
//
// # Estimated qualities
//
// Qualities is for reads without any. It looks four figures of a call (Doubt)
// up in a table of bounds, as Ewing & Green 1998 do (Genome Research 8:
// 186-194, DOI 10.1101/gr.8.3.186). The table is fitted on 600 simulated reads
// of conditions between the presets good and poor; table_test.go fits it anew
// with -update. Real reads set limits on it: MostQuality, and what a call in
// doubt gets at most.
//
// Held against 100 other simulated reads of each kind, with these limits:
//
//	          between presets          good                    poor
//	quality   calls  predicted  seen   calls  predicted  seen  calls  predicted  seen
//	 0-9       5895       1346  1166    1888        296   260  15362       3857  2699
//	10-18     16832        553   346    5782        130    97  25308        978   664
//	30        47945         48     4   67612         68     0  21912         22     2
//
// Against real reads: of twelve reads of a 3730xl the calls that lie over two
// or more sequences of other specimens of the species, or archive records
// nearly identical (github.com sgraham9319/SubalpineMyco); and all calls of
// these, their 14 fellows and five reads of other instruments, for which there
// are only the sequencers' own qualities. These are no truth: in the first
// group they predict about as many errors as there are where calls are good,
// and fewer where they are poor.
//
//	                 truth from other specimens           all 31 reads
//	quality   calls  predicted  seen  by sequencer    calls  predicted  by sequencer
//	 0-9         78       14.4     3           2.7      809        163            60
//	10-18       431       13.8    11           6.8     2880        115            94
//	30         6379        6.4     6           7.3    15172         15            31
//
// Before the limits, the decade of 20 to 29 held 255 calls of the first group:
// 1.4 errors predicted, 4 seen. Calls of N get 0 and are not counted. Two of the
// six errors at 30 have qualities above 50 in the file and may be true
// differences of the specimen. Older instruments are not in these tables: the
// only such read has no qualities and no truth.
package signal
