package signal

import "forayseq/seqqc"

// MostQuality is the highest quality that Qualities gives: of the calls of real
// reads that get it, one in a thousand is wrong (see the package comment), so
// that more would be claimed than shown.
const MostQuality = 30

// Simulated reads, on which the table was fitted, are tidier than real ones:
// where their peaks merge they keep their distances, and the calls come out
// right. So a call that gets less than MostQuality by the table, or that is
// unresolved, gets at most mostInDoubt, which is what real reads show of such
// calls (package comment). In a hump of at least humpCalls unresolved calls it
// gets at most mostInHump, the mean of what sequencers gave to such, and so
// does a call outside the usable stretch.
const (
	mostInDoubt = 18
	humpCalls   = 4
	mostInHump  = 9
)

// Qualities gives a Phred value for each call of t from its evidence s, nil
// where there is none. A call gets the quality of the first line of the table
// whose bounds all its figures keep (see Doubt), within the limits above; N
// gets 0, for it claims nothing.
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
		q := d.tabulated()
		switch {
		case i < s.Usable.Start || i >= s.Usable.End || d.Resolution+1 >= humpCalls: // the call and the others
			q = min(q, mostInHump)
		case q < MostQuality || d.Resolution >= 0:
			q = min(q, mostInDoubt)
		}
		quals[i] = q
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

// tabulated gives the quality of the first line that holds d.
func (d Doubt) tabulated() byte {
	for _, line := range qualityTable {
		if d.within(line.most) {
			return line.quality
		}
	}
	return 0 // not met: the last line holds all
}

func (d Doubt) within(most Doubt) bool {
	return d.Spacing <= most.Spacing && d.Uncalled7 <= most.Uncalled7 &&
		d.Uncalled3 <= most.Uncalled3 && d.Resolution <= most.Resolution
}
