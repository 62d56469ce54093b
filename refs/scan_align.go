package refs

import (
	"fmt"
	"strings"

	"forayseq/align"
)

// fewLanes is the number of pairs up to which aligning one by one takes less
// time than side by side.
const fewLanes = 3

// alignAll gives records on their better strands, each aligned once only:
// side by side where there are enough, so as outlines (see complete).
func (s *Scan) alignAll(records []int) ([]*Found, error) {
	found := make([]*Found, len(records))
	if len(records) > fewLanes && s.lanes.Width() > 1 {
		if s.outlineAll(records, found) == nil {
			return found, nil
		}
		// One by one the record with the error is told.
	}
	for i, r := range records {
		var err error
		if found[i], err = s.align(r); err != nil {
			return nil, err
		}
	}
	return found, nil
}

// outlineAll is align for several records, not aligned yet, of which it gives
// the outlines.
func (s *Scan) outlineAll(records []int, found []*Found) error {
	firsts := make([]int, len(records))
	seqs := make([][]byte, len(records))
	for i, r := range records {
		firsts[i], _ = s.likelier(r)
		seqs[i] = s.onStrand(r, firsts[i])
	}
	outlines, err := s.lanes.Outlines(seqs)
	if err != nil {
		return err
	}
	var turned []int // of records, those on which the other strand may be better
	seqs = seqs[:0]
	for i, r := range records {
		found[i] = &Found{Record: r, Complemented: firsts[i] == 1, Alignment: outlines[i].Alignment, Counts: outlines[i].Counts}
		if other := 1 - firsts[i]; s.mayScore(r, other, leastOther(firsts[i], outlines[i].Alignment.Score)) {
			turned = append(turned, i)
			seqs = append(seqs, s.onStrand(r, other))
		}
	}
	if outlines, err = s.lanes.Outlines(seqs); err != nil {
		return err
	}
	for x, i := range turned {
		if al := outlines[x].Alignment; al.Score >= leastOther(firsts[i], found[i].Alignment.Score) {
			found[i].Complemented, found[i].Alignment, found[i].Counts = firsts[i] == 0, al, outlines[x].Counts
		}
	}
	for i, r := range records {
		s.found[r] = s.judge(found[i])
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
	seq := s.onStrand(f.Record, strand)
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

// likelier gives the strand of a record with the higher ceiling, and that.
func (s *Scan) likelier(r int) (strand int, ceiling float64) {
	views := &s.states[r].views
	if c := views[viewKinds+viewForward].ceiling; c > views[viewForward].ceiling {
		return 1, c
	}
	return 0, views[viewForward].ceiling
}

// leastOther is the least score on the other strand that counts beside the
// score on strand first: a tie goes to the reference's own strand.
func leastOther(first, score int) int {
	if first == 0 {
		return score + 1
	}
	return score
}

// align gives record r on its better strand, aligned once only.
//
// The strand of the higher ceiling goes first, with a guess of its score.
// Of the other only a higher score is of interest, or an equal one where it is
// the reference's own strand.
func (s *Scan) align(r int) (*Found, error) {
	if f, ok := s.found[r]; ok {
		return f, nil
	}
	first, likely := s.likelier(r)
	seq := s.onStrand(r, first)
	// A base in error takes about 6 off.
	shorter := min(s.bases, s.states[r].bases)
	guess := align.ITS.Match*shorter - int(6*float64(shorter)*(100-likely)/100) - 16
	al, err := s.aligner.OverlapGuess(s.q.Seq, seq, guess)
	if err != nil {
		return nil, s.recordError(r, err)
	}
	chosen := first
	least := leastOther(first, al.Score)
	if other := 1 - first; s.mayScore(r, other, least) {
		seq2 := s.onStrand(r, other)
		al2, ok, err := s.aligner.OverlapAtLeast(s.q.Seq, seq2, least)
		if err != nil {
			return nil, s.recordError(r, err)
		}
		if ok {
			al, seq, chosen = al2, seq2, other
		}
	}
	counts, err := al.Count(s.q.Seq, seq, s.q.Exclude)
	if err != nil {
		return nil, s.recordError(r, err)
	}
	f := s.judge(&Found{Record: r, Complemented: chosen == 1, Alignment: al, Counts: counts})
	s.found[r] = f
	return f, nil
}

// onStrand gives the sequence of a record on strand 0, its own, or 1.
func (s *Scan) onStrand(r, strand int) []byte {
	if strand == 0 {
		return s.lib.Records[r].Seq
	}
	return align.ReverseComplement(s.lib.Records[r].Seq)
}

// mayScore is false only where no alignment of the record on that strand
// reaches the score least.
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
func (s *Scan) mayScore(r, strand, least int) bool {
	compared := (least + 1) / 2
	if compared > s.bases {
		return false
	}
	text := s.text(r, strand)
	limit := min(
		(2*min(s.bases, s.states[r].bases)-least)/2,
		(len(s.q.Seq)+len(text)-least)/3,
	)
	return limit >= 0 && s.pattern.Distance(text, reachOf(s.q.Seq, compared), limit) <= limit
}

func (s *Scan) recordError(r int, err error) error {
	rec := s.lib.Records[r]
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
