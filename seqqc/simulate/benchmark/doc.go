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
// What is asked: a flag's name, in how many samples the flag is raised (on a
// read, the contig, the match or the verdict); "false" and a flag's name, how
// many reads it is raised for without cause; "false alarm", how many samples
// have mixed_template, indel_heterozygote or chimera_suspected where another or
// none of them is true; "contig right", how many contigs are the main template
// letter for letter over nine tenths of the amplicon, and "both alleles right"
// the same of both; "site coded", how many sites at which alleles differ have
// the code for both, and "false code" how many contigs have a code elsewhere.
// Noise is clean, ordinary or noisy: the presets Good, Fair and Poor.
//
// A whole run takes some ten minutes of two processors.
//
// Shares are given with the 95 % interval of Wilson 1927 (Journal of the
// American Statistical Association 22: 209-212).
package main
