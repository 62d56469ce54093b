// Package draw makes the pictures of a report: the peaks around a doubtful
// base, a contig with its reads, identities against thresholds, a plate, a
// tree. Each is one SVG element for an HTML page that has Style in its style
// sheet: with a role, a title and a description, without script, style
// attributes or anything fetched from elsewhere. All text in it is escaped.
//
// No picture tells anything by colour alone: bases have a letter and a line
// dash each, verdicts a word and a shape.
package draw
