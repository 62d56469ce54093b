// Package region finds the parts of the ribosomal repeat on a contig: the end
// of the SSU, ITS1, 5.8S, ITS2 and the start of the LSU.
package region
