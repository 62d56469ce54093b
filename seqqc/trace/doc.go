// Package trace reads sequencing files: ABIF and SCF chromatograms, FASTQ, and
// FASTA with or without a .qual companion, from a folder or in place from a
// zip archive.
//
// Each decoder takes an io.Reader and Limits and gives a *seqqc.Trace or an
// error that names the format, the place and the field; none opens a path.
// Folder walks a folder and gives one Item for every file or record in it,
// read or not. What a decoder let pass is said in Trace.Notes.
package trace
