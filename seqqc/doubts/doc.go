// Package doubts turns what a contig leaves open into questions: where its
// reads differ, where a read shows two peaks, where copies of the specimen
// differ, and where a base could not be told. Each Card has the question, the
// peaks of every read around the place, what the evidence says, the possible
// answers, and what hangs on them. Cards are data; what draws them is elsewhere.
//
// Positions are half-open and 0-based; the sentences count from 1, as a reader
// does.
package doubts
