// Package contig puts the reads of one sample together: it lays them over one
// another by the qualities of their bases, and calls each position by its
// posterior probability. Where the reads do not hold together it says so and
// keeps the better ones; it never joins by chance.
package contig
