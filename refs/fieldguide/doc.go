// Package fieldguide holds what field guides tell and a reference library does
// not: names that changed, the words clubs use for groups of fungi, the usual
// hosts of fungi on fungi, and what is to be seen on a genus.
//
// All tables were written down from memory and checked against no outside
// list. They order and explain; what DNA shows, they never overrule. For a name
// that matters, check a current name index.
package fieldguide
