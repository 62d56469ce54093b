// Package simulate makes Sanger reads whose truth is known: the four dye
// traces of a template, or of a mixture of templates, and what a base caller
// makes of them. It also invents the ribosomal DNA to sequence.
//
// # What a read is made of
//
// A fragment of n bases passes the detector after n spacings, give or take a
// jitter that depends on its last bases. It shows as a bell whose width grows
// along the read and whose height depends on the bases before it and falls
// slowly. Added to this are false peaks of fragments that ended wrongly, humps
// of unspent dye on the first bases, crosstalk between the dyes, and a noise
// floor.
//
// Sizes were set against ten good open reads of a 3730xl (see the test of
// package demo that compares them): of the preset Good, spacing, spread of
// heights, second over first channel, and mean quality are in their range or
// next to it.
// Two things are not. Real starts are worse: the first 30 calls have a mean
// quality of 9 to 20, those of Good 28. And real peaks scatter more: the
// distances of calls 100 to 200 have a standard deviation of 0.9 to 1.0
// samples, those of Good 0.4. The model also leaves out mobility that differs
// from dye to dye, polymerase slip behind long runs of one base, and
// compressions.
//
// The base caller (callBases) sees nothing but the traces.
//
// # What its qualities are worth
//
// Errors that the qualities predict, and errors seen, in 150 reads of each
// preset, of templates of 500 to 1,000 random bases. Calls of N (below Q5) are
// no errors and not in the table. The fit was made on other reads.
//
//	          good                     fair                     poor
//	quality   calls  predicted  seen   calls  predicted  seen   calls  predicted  seen
//	 5-9       1100        243   414    5512       1190  1088   18174       4114  2496
//	10-14       734         52    92    5185        356   280   10076        717   516
//	15-19       697         14    30    5402        111    64    8007        170   128
//	20-24      1040        6.7    18    6193         42    22    7836         53    49
//	25-29      1793        3.5     3    6989         14    10    7667         16    11
//	30-39      8626        3.1     5   18179        7.4     7   16981        7.3     2
//	40-62     98064        1.0     0   63135        1.2     0   13648        0.6     0
//
// So a quality is within a factor of three of its meaning: somewhat too high
// on the humps at the start of good reads, too low along poor ones.
//
// # The same everywhere
//
// A seed gives the same read on every machine; see the note in random.go.
package simulate
