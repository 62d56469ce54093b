// Package phylogeny invents reference libraries of any size, and queries to go
// with them, for tests and benchmarks of the search: a random tree of orders,
// families, genera, species groups, species and haplotypes, along which the
// ITS evolves. All names begin with 'Syn' and all headers say that the
// sequence is synthetic.
//
// A library is a function of its Shape: a record is worked out from its number
// when asked for, and nothing but the tree is held, some four to eight bytes a
// record.
package phylogeny
