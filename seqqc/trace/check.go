package trace

import (
	"fmt"
	"slices"
	"strings"
)

// maxPhred is the highest quality taken as a Phred value. Base callers end
// near 62; 97 to 99 mark bases a person set (common practice, no source).
// Larger numbers are another scale (SCF probabilities of 0 to 255), on which
// every base would look perfect.
const maxPhred = 99

// channelOf gives the index of a base in Trace.Channels, -1 for another letter.
func channelOf(base byte) int { return strings.IndexByte("ACGT", base) }

// isChannelOrder reports whether s names each base once.
func isChannelOrder(s string) bool {
	seen := 0
	for i := range len(s) {
		if c := channelOf(s[i]); c >= 0 {
			seen |= 1 << c
		}
	}
	return len(s) == 4 && seen == 0b1111
}

// codes are the nucleotide codes. Source: NC-IUB 1984, Nucleic Acids Research
// 13 (1985) 3021-3030, DOI 10.1093/nar/13.9.3021.
const codes = "ACGTRYKMSWBDHVN"

// cleanBase gives c as an upper-case nucleotide code, U as T. Base callers
// write '-', '.', '?' or X for a base they could not call: these become N and
// are not known. Any other sign gives 0: bytes that are no bases would mean
// that the wrong place was read.
func cleanBase(c byte) (base byte, known bool) {
	if c >= 'a' && c <= 'z' {
		c -= 'a' - 'A'
	}
	switch {
	case strings.IndexByte(codes, c) >= 0:
		return c, true
	case c == 'U':
		return 'T', true
	case c == '-' || c == '.' || c == '?' || c == 'X':
		return 'N', false
	}
	return 0, false
}

// cleanBases is cleanBase over a slice: bases in a new slice, the number of
// those not known, and the position of the first sign that is no base, -1
// where there is none.
func cleanBases(raw []byte) (bases []byte, unknown, bad int) {
	bases = make([]byte, len(raw))
	for i, c := range raw {
		base, known := cleanBase(c)
		if base == 0 {
			return nil, 0, i
		}
		if !known {
			unknown++
		}
		bases[i] = base
	}
	return bases, unknown, -1
}

// badLetter is the error for a sign that is no base, at a 0-based position.
func badLetter(c byte, at int) error {
	return because(ErrFormat, "%q at base %d is no nucleotide code", c, at+1)
}

// checkQuals gives a copy of raw if it can be the qualities of n bases, and
// else says why not.
func checkQuals(raw []byte, n int) (quals []byte, why string) {
	if len(raw) != n {
		return nil, fmt.Sprintf("%d values for %d bases", len(raw), n)
	}
	for i, q := range raw {
		if q > maxPhred {
			return nil, fmt.Sprintf("%d at base %d is no Phred value (at most %d)", q, i+1, maxPhred)
		}
	}
	return append(make([]byte, 0, n), raw...), ""
}

// checkPeaks gives peaks if they can be the positions of n bases in a trace of
// that many samples, and else says why not. A single position out of place
// leaves open which peak is which base's, so all are refused rather than one
// moved. Without samples only the order can be checked.
func checkPeaks(peaks []int, n, samples int) (ok []int, why string) {
	if len(peaks) != n {
		return nil, fmt.Sprintf("%d values for %d bases", len(peaks), n)
	}
	if n > 1 && !slices.ContainsFunc(peaks, func(p int) bool { return p != 0 }) {
		return nil, "they are all zero"
	}
	for i, p := range peaks {
		switch {
		case p < 0:
			return nil, fmt.Sprintf("the position of base %d is negative", i+1)
		case samples > 0 && p >= samples:
			return nil, fmt.Sprintf("the position of base %d is %d, and the trace ends at %d", i+1, p, samples)
		case i > 0 && p < peaks[i-1]:
			return nil, fmt.Sprintf("the position of base %d lies before that of base %d", i+1, i)
		}
	}
	return peaks, ""
}

// trimPadding removes the spaces and NULs that fill fields of fixed width.
func trimPadding(s string) string { return strings.Trim(s, "\x00 \t\r\n") }
