package align

import (
	"fmt"

	"github.com/biogo/biogo/align"
	"github.com/biogo/biogo/alphabet"
	"github.com/biogo/biogo/feat"
	"github.com/biogo/biogo/seq/linear"
)

// Mode says which ends of an alignment are free.
type Mode uint8

// The modes of Biogo.
const (
	Global Mode = iota // none: all of both sequences
	Fitted             // those of the first sequence: all of the second, somewhere in it
	Local              // all: a stretch of each
)

// Block is a piece of an alignment without gaps, or a gap, where one of the
// intervals is empty.
type Block struct {
	A, B  Interval
	Score int
}

// Biogo aligns two sequences of any alphabet with the affine-gap aligners of
// the biogo library; the score of the alignment is the sum over its blocks.
// scores is by alphabet index, gap first: a gap of g letters scores gapOpen
// and the scores of each against the gap, all negative or zero.
//
// Those aligners panic on letters outside the alphabet, on empty sequences and
// on a matrix that is too small (Fitted) instead of giving an error, so all
// are refused here first. They hold three integers a cell and are some
// thirty times slower than Aligner: they are for what it does not do, and to check it.
func Biogo(mode Mode, a, b []byte, alpha alphabet.Alphabet, scores [][]int, gapOpen int) ([]Block, error) {
	if len(a) == 0 || len(b) == 0 {
		return nil, fmt.Errorf("sequences of %d and %d letters: nothing to align", len(a), len(b))
	}
	if int64(len(a))*int64(len(b)) > maxCells/8 {
		return nil, fmt.Errorf("%w: %d and %d letters", ErrTooLong, len(a), len(b))
	}
	for which, seq := range [][]byte{a, b} {
		for i, c := range seq {
			if !alpha.IsValid(alphabet.Letter(c)) || alphabet.Letter(c) == alpha.Gap() {
				return nil, fmt.Errorf("%q at position %d of sequence %d is not in the alphabet", c, i, which+1)
			}
		}
	}
	if len(scores) != alpha.Len() {
		return nil, fmt.Errorf("%w: %d rows of scores for %d letters", ErrScoring, len(scores), alpha.Len())
	}
	for i, row := range scores {
		if len(row) != len(scores) {
			return nil, fmt.Errorf("%w: row %d has %d scores for %d letters", ErrScoring, i, len(row), len(scores))
		}
	}

	affine := align.Affine{Matrix: scores, GapOpen: gapOpen}
	var aligner align.Aligner
	switch mode {
	case Global:
		aligner = align.NWAffine(affine)
	case Fitted:
		aligner = align.FittedAffine(affine)
	case Local:
		aligner = align.SWAffine(affine)
	default:
		return nil, fmt.Errorf("no alignment mode %d", mode)
	}
	pairs, err := aligner.Align(
		linear.NewSeq("", alphabet.BytesToLetters(a), alpha),
		linear.NewSeq("", alphabet.BytesToLetters(b), alpha),
	)
	if err != nil {
		return nil, fmt.Errorf("align: %w", err)
	}
	blocks := make([]Block, len(pairs))
	for i, p := range pairs {
		f := p.Features()
		blocks[i] = Block{A: interval(f[0]), B: interval(f[1])}
		if scored, ok := p.(interface{ Score() int }); ok {
			blocks[i].Score = scored.Score()
		}
	}
	return blocks, nil
}

func interval(f feat.Feature) Interval { return Interval{f.Start(), f.End()} }

// Biogo gives the scores as the function of that name takes them, for
// alphabet.DNAredundant.
func (s Scoring) Biogo() (scores [][]int, gapOpen int) {
	alpha := alphabet.DNAredundant
	g := Aligner{s: s}
	scores = make([][]int, alpha.Len())
	for i := range scores {
		scores[i] = make([]int, alpha.Len())
		for j := range scores[i] {
			switch x, y := masks[alpha.Letter(i)], masks[alpha.Letter(j)]; {
			case i == 0 && j == 0:
			case i == 0 || j == 0:
				scores[i][j] = -s.GapExtend
			default:
				scores[i][j] = g.score(x, y)
			}
		}
	}
	return scores, -s.GapOpen
}
