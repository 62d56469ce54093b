// Package trim finds the part of a read that is worth keeping: the stretch
// of good quality, less ends full of ambiguous bases, less the primers that
// begin and end the read's own amplicon. It counts what was kept and says in
// plain words why a read cannot be used.
package trim
