// Package signal reads the four traces of a read as a person does who looks
// at them: which peaks stand at each base, how far they can be trusted, and
// where the signal begins and ends.
//
// # Peak evidence
//
// Measure goes these steps; where no source is given, they are common
// practice.
//
//  1. Baseline of each channel: a low quantile of the minima of short
//     stretches (baseline.go).
//  2. Crosstalk: what stays of a dye in the channels beside it, estimated from
//     clean peaks of the read, and taken off (crosstalk.go).
//  3. Shape of a peak: the median outline of clean peaks around (shape.go).
//  4. Heights: each channel explained as a sum of such peaks, one a base, none
//     negative (heights.go). What a neighbour's peak explains is no peak here.
//  5. Noise: what the channels show that no base around was called from, and
//     from it which peaks are a summit, a shoulder or nothing (peaks.go).
//  6. Usable stretch, humps of dye, clipping, and loss of signal behind a run
//     of one base (extent.go).
package signal
