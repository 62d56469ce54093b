// Package batch runs the stages in order: it reads a batch folder, ties reads
// to vouchers, makes a contig of each sample, matches it, and asks for a
// verdict. It is the only package that knows the stages; what it gives back is
// one seqqc.Result.
//
// The steps of Run, and where each one's work is done:
//
//	sheet    the voucher sheet            package sheet
//	library  the reference FASTA          package refs
//	reads    chromatograms, zipped or not package trace
//	tie      a read to its voucher        package sheet
//	trim     a read to its good stretch   package trim
//	contig   the reads of one sample      package contig
//	region   where the ITS lies           package region
//	match    the nearest references       package match
//	verdict  field name against DNA       package verdict
//
// A fault in one input is a seqqc.Problem and the rest goes on; an error is
// returned only where no result is possible.
package batch
