// Scanbench measures the search in a reference library beside other ways to
// find the nearest references, in one run on one machine:
//
//	go run ./refs/scanbench                          20,000 and 200,000 references
//	go run ./refs/scanbench -sizes 5000 -queries 3   a look, in a minute
//	go run ./refs/scanbench -sizes 20000 -scale      the index from 10,000 to 1,000,000 as well
//	go run ./refs/scanbench -sizes 20000 -odd 5000   odd libraries as well
//	go run ./refs/scanbench -only search,distances   some columns
//
// Libraries and queries are invented (package phylogeny). What is measured runs
// in processes of its own, one after the other, each with one job, which is
// how peak memory is told apart:
//
//	biogo      FittedAffine of the biogo library, on some pairs
//	edlib      the edlib library by a small program, compiled when Debian's
//	           libedlib-dev and a C++ compiler are there: the whole query anywhere
//	           in a reference, edits only, with no bound and with the right one
//	           (the edits of the tenth best); on some references
//	distances  the same question answered by package align for every reference
//	search     refs: the ten best by identity, through a cached index
//	every      the same by aligning every reference, for some queries; that the
//	           two are equal is checked, and the command fails where not
//
// What is measured on a part is multiplied, and marked with '~'. Edlib, biogo and
// distances look at both strands as the search does, and use one thread.
package main
