// Package decisions reads and appends a batch's decisions: one JSON object a
// line in a file that is only ever appended to.
//
// A line counts from its last brace on: no beginning of a JSON object is one
// itself. Where a crash cut the last line short, it is told of and passed over,
// and the next decision goes on a line of its own. A lock keeps the lines of two
// programs apart, and each line is on the disk before Append returns.
package decisions
