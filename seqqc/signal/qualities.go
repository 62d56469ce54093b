package signal

import (
	"forayseq/seqqc"
)

// MostQuality is the highest quality that Qualities gives. The calls of real
// reads that get it were wrong once in a thousand (see the table in the
// package comment), so that more would be claimed than shown.
const MostQuality = 30

// Qualities gives a Phred value for each call of t from its evidence s, nil
// where there is none. A call gets the quality of the first line of the table
// whose bounds all its figures keep (see Doubts); N gets 0, for it claims
// nothing.
//
// The method is that of Ewing & Green 1998 (Genome Research 8: 186-194, DOI
// 10.1101/gr.8.3.186); the table is our own, see the package comment.
func Qualities(t *seqqc.Trace, s *seqqc.Signal) []byte {
	if s == nil || !hasPeaks(s) {
		return nil
	}
	quals := make([]byte, len(s.Bases))
	for i, d := range Doubts(t, s) {
		if t.Bases[i] == 'N' {
			continue
		}
		for _, line := range qualityTable {
			if d.within(line.most) {
				quals[i] = line.quality
				break
			}
		}
	}
	return quals
}

func hasPeaks(s *seqqc.Signal) bool {
	for _, b := range s.Bases {
		if b.Primary.Height > 0 {
			return true
		}
	}
	return false
}

// qualityLine is a line of the table: calls with no more doubt than most, in
// no line before, are wrong as often as quality says.
type qualityLine struct {
	quality byte
	most    Doubt
}

func (d Doubt) within(most Doubt) bool {
	return d.Spacing <= most.Spacing && d.Uncalled7 <= most.Uncalled7 &&
		d.Uncalled3 <= most.Uncalled3 && d.Resolution <= most.Resolution
}
