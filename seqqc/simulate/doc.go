// Package simulate makes Sanger reads whose truth is known: the four dye
// traces of a template, or of a mixture of templates, and what a base caller
// makes of them. It also invents the ribosomal DNA to sequence, its alleles and
// chimeras, and adds real traces to one another.
//
// # What a read is made of
//
// A fragment of n bases passes the detector after n spacings, give or take a
// departure that its last bases add to and that fades along the read, so that
// two alleles run alike until some bases behind a difference, and two taxa
// each in their own way. It shows as a bell whose width grows along the read
// and whose height depends on the bases before it and falls slowly. Added to
// this are false peaks of fragments that ended wrongly, humps of unspent dye on
// the first bases, crosstalk between the dyes, and a noise floor; and where
// asked for, slips and loss of signal behind long runs of one base, a hump of
// dye further on, and saturation.
//
// Sizes were set against the good ones of 26 open reads of a 3730xl (10 to 12
// of them; see the test of package demo that compares them). Means over the
// good real reads, lowest and highest, and the mean of the preset Good:
//
//	                                       real            Good
//	quality of calls 0-29                  9 to 20         12
//	quality of calls 30-49                22 to 43         37
//	quality of calls 100-199              52 to 61         58
//	distance of peaks, calls 100-199    11.7 to 12.0     11.9 samples
//	its standard deviation              0.88 to 0.99     0.98
//	the same, calls 450-519             0.62 to 0.84     0.75
//	relative spread of heights          0.27 to 0.31     0.29
//	median second channel over first   0.025 to 0.076   0.026
//	first call kept by trimming           15 to 35     9 to 39
//
// The first ten calls are still somewhat better than real ones (mean quality
// 6; real 4), and the false peaks of Good are those of the cleanest real reads.
// Compressions, and polymerase slips behind repeats of two or three bases, are
// left out. How much Slip and RunLoss a real run causes was not measured.
//
// The base caller (callBases) sees nothing but the traces, and calls the
// highest channel: where two templates show it writes one base, with a lower
// quality.
//
// # What its qualities are worth
//
// Errors that the qualities predict, and errors seen, in 150 reads of each
// preset, of templates of 500 to 1,000 random bases. Calls of N (below Q5) are
// no errors and not in the table. The fit was made on other reads.
//
//	          good                     fair                     poor
//	quality   calls  predicted  seen   calls  predicted  seen   calls  predicted  seen
//	 5-9       1502        323   348    6724       1374  1150   27635       6015  4332
//	10-14      1149         77    63    8122        542   221   17594       1205   644
//	15-19      1268         27    25    8321        178    64   13444        291   115
//	20-24      1842         12    10    8457         55    30   11558         76    10
//	25-29      2582        5.3     6    8920         19    11   10139         22     5
//	30-39      9173        3.7     3   21446        9.3     3   11655        6.4     0
//	40-62     95032        0.9     1   49531        1.3     0    1881        0.1     0
//
// So a quality means what it says on good reads and is too low by a factor of
// two to three along poor ones.
//
// # The same everywhere
//
// A seed gives the same read on every machine; see the note in random.go.
package simulate
