// Command benchmark measures what the stages tell of reads of known truth:
// how often each phenomenon that an expert sees in a chromatogram is found, and
// how often it is seen where it is not, by level and by noise.
//
//	go run ./seqqc/simulate/benchmark [-number 40] [-clean 500] [-only WORD] [-seed 1]
//
// Each row of the table is a batch: samples are simulated, written as
// chromatograms with a sheet and a library, and put through batch.Run as a
// club's would be. Seeds are fixed, so a row says the same on every machine.
// Where FORAYSEQ_OPEN_DATA names a folder of open data, real reads are added to
// one another as well (fungal ITS1-F reads of a 3730xl; sgraham9319/SubalpineMyco
// at 488d9e32, Data/bioassay, MIT).
//
// Shares are given with the 95 % interval of Wilson 1927 (Journal of the
// American Statistical Association 22: 209-212).
package main
