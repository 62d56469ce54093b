package main

import (
	"math/rand/v2"
	"slices"

	"forayseq/seqqc"
	"forayseq/seqqc/simulate"
)

// molecule is one kind of DNA in a tube.
type molecule struct {
	seq    []byte // the coding strand from SSU to LSU
	weight float64
}

// pair sequences a tube from both ends of its ITS.
func pair(rng *rand.Rand, p simulate.Params, tube ...molecule) (sample, error) {
	return sequence(rng, p, "ITS1-F", "ITS4", tube)
}

// sequence sequences a tube from both primers; the truth has what is known of
// the places of an indel where the tube holds two alleles of different length.
func sequence(rng *rand.Rand, p simulate.Params, forward, reverse string, tube []molecule) (sample, error) {
	strands := make([][]simulate.Template, 2)
	var s sample
	for _, m := range tube {
		f, r, err := simulate.Amplicon(m.seq, forward, reverse)
		if err != nil {
			return sample{}, err
		}
		strands[0] = append(strands[0], simulate.Template{Seq: f, Weight: m.weight})
		strands[1] = append(strands[1], simulate.Template{Seq: r, Weight: m.weight})
		s.truth.alleles = append(s.truth.alleles, f)
	}
	for k, primer := range []string{forward, reverse} {
		t, tr := simulate.Mixture(rng, strands[k], p)
		s.reads = append(s.reads, chromatogram{primer, t})
		s.truth.reads = append(s.truth.reads, indelIn(strands[k], tr))
	}
	return s, nil
}

// indelIn says where the one indel between two templates shows in a read;
// nothing where there are not two of different length.
func indelIn(templates []simulate.Template, tr simulate.Truth) readTruth {
	if len(templates) != 2 || len(templates[0].Seq) == len(templates[1].Seq) {
		return readTruth{}
	}
	k := count(len(templates[1].Seq) < len(templates[0].Seq)) // the shorter one
	short, long := templates[k].Seq, templates[1-k].Seq
	first, last := 0, 0
	for first < len(short) && short[first] == long[first] {
		first++
	}
	for last < len(short) && short[len(short)-1-last] == long[len(long)-1-last] {
		last++
	}
	// From len(short)-last on, any place gives the same; from first on, the
	// peaks are double.
	calls := seqqc.Interval{Start: tr.Call(k, len(short)-last), End: tr.Call(k, first) + 1}
	return readTruth{calls: calls, size: len(long) - len(short)}
}

// longer gives the locus with size bases put into the middle three fifths of
// one of its spacers.
func longer(rng *rand.Rand, l simulate.Locus, spacer, size int) (simulate.Locus, error) {
	part := &l.ITS1
	if spacer == 2 {
		part = &l.ITS2
	}
	at := len(*part)/5 + rng.IntN(len(*part)*3/5)
	with, _, err := simulate.Lengthened(rng, *part, at, size)
	*part = with
	return l, err
}

// changed gives the locus with n bases changed in ITS1 and ITS2 together, away
// from the ends, and their places in the amplicon of ITS1-F.
func changed(rng *rand.Rand, l simulate.Locus, n int) (simulate.Locus, []int, error) {
	primer, _ := seqqc.PrimerByName("ITS1-F")
	its := slices.Concat(l.ITS1, l.ITS2)
	out, at, err := simulate.Substituted(rng, its, n, seqqc.Interval{Start: 30, End: len(its) - 30})
	if err != nil {
		return l, nil, err
	}
	before := len(l.SSU) - len(primer.Seq)
	for i := range at {
		if at[i] >= len(l.ITS1) {
			at[i] += len(l.R58S)
		}
		at[i] += before
	}
	n1 := len(l.ITS1)
	l.ITS1, l.ITS2 = out[:n1], out[n1:]
	return l, at, nil
}
