package refs

import (
	"fmt"
	"slices"
	"strings"

	"forayseq/align"
)

// fewLanes is the number of pairs up to which aligning one by one takes less
// time than side by side.
const fewLanes = 3

// alignAll aligns units on their better strands: side by side where there are
// enough, so as outlines (see complete).
func (s *Scan) alignAll(units []likely) ([]*Found, error) {
	found := make([]*Found, len(units))
	if len(units) <= fewLanes || s.lanes.Width() == 1 || s.outlineAll(units, found) != nil {
		// One by one the record with an error is told.
		for i, u := range units {
			var err error
			if found[i], err = s.align(u); err != nil {
				return nil, err
			}
		}
	}
	for i, f := range found {
		s.aligned[units[i].unit] = true
		s.found = append(s.found, s.judge(f))
	}
	return found, nil
}

// outlineAll is align for several units, of which it gives the outlines.
func (s *Scan) outlineAll(units []likely, found []*Found) error {
	seqs := make([][]byte, len(units))
	for i, u := range units {
		seqs[i] = s.index.appendLetters(nil, u.unit, int(u.strand))
	}
	outlines, err := s.lanes.Outlines(seqs)
	if err != nil {
		return err
	}
	asks := make([]ask, len(units))
	for i, u := range units {
		found[i] = &Found{Record: s.recordOf(u.unit), Complemented: u.strand == 1, Alignment: outlines[i].Alignment, Counts: outlines[i].Counts}
		asks[i] = ask{u.unit, 1 - u.strand, leastOther(u.strand, outlines[i].Alignment.Score)}
	}
	var turned []int // those on which the other strand may be better
	seqs = seqs[:0]
	for i, may := range s.mayScore(asks) {
		if may {
			turned = append(turned, i)
			seqs = append(seqs, s.index.appendLetters(nil, asks[i].unit, int(asks[i].strand)))
		}
	}
	if outlines, err = s.lanes.Outlines(seqs); err != nil {
		return err
	}
	for x, i := range turned {
		if al := outlines[x].Alignment; al.Score >= asks[i].least {
			found[i].Complemented, found[i].Alignment, found[i].Counts = asks[i].strand == 1, al, outlines[x].Counts
		}
	}
	return nil
}

// complete makes an alignment of which there is only the outline whole.
func (s *Scan) complete(f *Found) error {
	if f.Alignment.Runs != nil {
		return nil
	}
	strand := 0
	if f.Complemented {
		strand = 1
	}
	seq := s.index.appendLetters(nil, s.index.unitOf[f.Record], strand)
	var err error
	if f.Alignment, err = s.aligner.OverlapGuess(s.q.Seq, seq, f.Alignment.Score); err != nil {
		return s.recordError(f.Record, err)
	}
	if f.Counts, err = f.Alignment.Count(s.q.Seq, seq, s.q.Exclude); err != nil {
		return s.recordError(f.Record, err)
	}
	s.judge(f)
	return nil
}

// recordOf gives the first record of a unit.
func (s *Scan) recordOf(unit int32) int { return int(s.index.recordsOf(unit)[0]) }

// leastOther is the least score on the other strand that counts beside the
// score on strand first: a tie goes to the reference's own strand.
func leastOther(first uint8, score int) int {
	if first == 0 {
		return score + 1
	}
	return score
}

// align aligns a unit on its better strand.
//
// The strand of the higher ceiling goes first, with a guess of its score.
// Of the other only a higher score is of interest, or an equal one where it is
// the reference's own strand.
func (s *Scan) align(u likely) (*Found, error) {
	r := s.recordOf(u.unit)
	seq := s.index.appendLetters(nil, u.unit, int(u.strand))
	// A base in error takes about 6 off.
	shorter := min(s.bases, int(s.index.bases[u.unit]))
	guess := align.ITS.Match*shorter - int(6*float64(shorter)*(100-u.ceiling)/100) - 16
	al, err := s.aligner.OverlapGuess(s.q.Seq, seq, guess)
	if err != nil {
		return nil, s.recordError(r, err)
	}
	strand := u.strand
	other := ask{u.unit, 1 - strand, leastOther(strand, al.Score)}
	if s.mayScore([]ask{other})[0] {
		seq2 := s.index.appendLetters(nil, u.unit, int(other.strand))
		al2, ok, err := s.aligner.OverlapAtLeast(s.q.Seq, seq2, other.least)
		if err != nil {
			return nil, s.recordError(r, err)
		}
		if ok {
			al, seq, strand = al2, seq2, other.strand
		}
	}
	counts, err := al.Count(s.q.Seq, seq, s.q.Exclude)
	if err != nil {
		return nil, s.recordError(r, err)
	}
	return &Found{Record: r, Complemented: strand == 1, Alignment: al, Counts: counts}, nil
}

// ask is the question whether a unit may have a score of least or more on a
// strand.
type ask struct {
	unit   int32
	strand uint8
	least  int
}

// mayScore answers false only where no alignment has that score.
//
// Let an alignment have I identical columns, s substitutions and g gap bases,
// x and y letters of the two sequences being in it. It reaches least only with
// I >= least/match, so that many bases of the query at least are compared; and
// from 2I <= x + y - 2s - g follow two limits on its edits s + g:
//
//	score <= match*I - mismatch*s - extend*g              <= match*I - 2(s + g)
//	score <= match*(x + y - 2s - g)/2 - mismatch*s - extend*g <= x + y - 3(s + g)
//
// with match 2, mismatch 3 and extend 2 as in align.ITS.
func (s *Scan) mayScore(asks []ask) []bool {
	may := make([]bool, len(asks))
	var texts []align.LaneText
	var limits, whose []int
	find := func() {
		if len(texts) == 0 {
			return
		}
		s.distances.Find(texts, slices.Max(limits))
		for lane, i := range whose {
			may[i] = s.distances.Distance(lane) <= limits[lane]
		}
		texts, limits, whose = texts[:0], limits[:0], whose[:0]
	}
	for i, a := range asks {
		n := int(s.index.lengths[a.unit])
		compared := (a.least + 1) / 2
		limit := min(
			(2*min(s.bases, int(s.index.bases[a.unit]))-a.least)/2,
			(len(s.q.Seq)+n-a.least)/3,
		)
		if compared > s.bases || limit < 0 {
			continue
		}
		texts = append(texts, align.LaneText{
			Text:    s.index.packed(a.unit),
			Reading: [2]align.Reading{align.Forward, align.OtherStrand}[a.strand],
			Reach:   reachOf(s.q.Seq, compared),
		})
		limits, whose = append(limits, limit), append(whose, i)
		if len(texts) == align.TextLanes {
			find()
		}
	}
	find()
	return may
}

func (s *Scan) recordError(r int, err error) error {
	rec := s.lib.Record(r)
	return fmt.Errorf("reference %s (line %d): %w", rec.ID, rec.Line, err)
}

// judge fills in the figures and holds the gate.
func (s *Scan) judge(f *Found) *Found {
	f.IdentityPct, f.StrictPct = f.Counts.IdentityPct(), f.Counts.StrictPct()
	f.CoveragePct = coverage(f.Counts.ACompared, s.bases)
	var lacks []string
	if !s.coversQuery(f) {
		lacks = append(lacks, fmt.Sprintf("compares %.1f%% of the query and no whole spacer (%g%% asked)", f.CoveragePct, s.gate.MinCoveragePct))
	}
	if f.Counts.AOutside < s.gate.MinOutside {
		lacks = append(lacks, fmt.Sprintf("compares %d columns outside the 5.8S (%d asked)", f.Counts.AOutside, s.gate.MinOutside))
	}
	f.Lacks = strings.Join(lacks, "; ")
	f.Pass = len(lacks) == 0
	return f
}

// coversQuery holds the first half of the gate.
func (s *Scan) coversQuery(f *Found) bool {
	if f.CoveragePct >= s.gate.MinCoveragePct {
		return true
	}
	for _, v := range s.q.Whole {
		if !v.Empty() && f.Alignment.AStart <= v.Start && v.End <= f.Alignment.AEnd {
			return true
		}
	}
	return false
}

// coverage is 100 x compared / bases, zero where there are none.
func coverage(compared, bases int) float64 {
	if bases == 0 {
		return 0
	}
	return float64(100*compared) / float64(bases)
}

// countBases counts the letters that are not N.
func countBases(seq []byte) int {
	n := 0
	for _, c := range seq {
		if align.Mask(c) != align.MaskN {
			n++
		}
	}
	return n
}
