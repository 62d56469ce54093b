package refs_test

import (
	"bytes"
	"math/rand/v2"
	"slices"

	"forayseq/align"
)

func bases(r *rand.Rand, n int) []byte {
	seq := make([]byte, n)
	for i := range seq {
		seq[i] = "ACGT"[r.IntN(4)]
	}
	return seq
}

func pick(r *rand.Rand, seqs [][]byte) []byte { return seqs[r.IntN(len(seqs))] }

func mixed(r *rand.Rand, seqs [][]byte) [][]byte {
	r.Shuffle(len(seqs), func(i, j int) { seqs[i], seqs[j] = seqs[j], seqs[i] })
	return seqs
}

// part gives a stretch of seq of at least one base.
func part(r *rand.Rand, seq []byte) []byte {
	lo := r.IntN(len(seq))
	return seq[lo : lo+1+r.IntN(len(seq)-lo)]
}

// changed gives seq with about rate changes a base, two in three of them
// replacements, the others gaps of one to five bases.
func changed(r *rand.Rand, seq []byte, rate float64) []byte {
	var out []byte
	for i := 0; i < len(seq); i++ {
		if r.Float64() >= rate {
			out = append(out, seq[i])
			continue
		}
		switch r.IntN(6) {
		case 0:
			i += r.IntN(5)
		case 1:
			out = append(append(out, seq[i]), bases(r, 1+r.IntN(5))...)
		default:
			out = append(out, bases(r, 1)...)
		}
	}
	return out
}

// replaced gives seq with n of its bases, at different positions, replaced by
// others; all where there are fewer.
func replaced(r *rand.Rand, seq []byte, n int) []byte {
	out := slices.Clone(seq)
	for _, at := range r.Perm(len(seq))[:min(n, len(seq))] {
		for out[at] == seq[at] {
			out[at] = "ACGT"[r.IntN(4)]
		}
	}
	return out
}

// coded gives seq with n of its bases written as codes that hold them.
func coded(r *rand.Rand, seq []byte, n int) []byte {
	out := slices.Clone(seq)
	for _, at := range r.Perm(len(seq))[:n] {
		out[at] = align.Code(align.Mask(seq[at]) | align.Mask("ACGT"[r.IntN(4)]) | align.Mask("ACGTN"[r.IntN(5)]))
	}
	return out
}

// withCodes puts codes in the place of some bases, whatever these are.
func withCodes(r *rand.Rand, seq []byte, codes string, rate float64) []byte {
	out := slices.Clone(seq)
	for i := range out {
		if r.Float64() < rate {
			out[i] = codes[r.IntN(len(codes))]
		}
	}
	return out
}

// withRun puts a run of n of a code in the place of as many bases, or as many
// as there are to the end.
func withRun(r *rand.Rand, seq []byte, code string, n int) []byte {
	at := r.IntN(len(seq) + 1)
	n = min(n, len(seq)-at)
	return slices.Concat(seq[:at], bytes.Repeat([]byte(code), n), seq[at+n:])
}

// palindrome gives a sequence that is its own other strand, but for a letter in
// the middle now and then.
func palindrome(r *rand.Rand, half []byte) []byte {
	return slices.Concat(half, [][]byte{nil, nil, []byte("N"), []byte("S"), []byte("W"), []byte("A")}[r.IntN(6)], align.ReverseComplement(half))
}

// phylogeny gives the leaves of a random tree: each sequence is a changed copy
// of an earlier one, by less and less.
func phylogeny(r *rand.Rand, leaves, length int) [][]byte {
	seqs := [][]byte{bases(r, length)}
	for len(seqs) < leaves {
		rate := 0.3 / float64(1+r.IntN(len(seqs)))
		seqs = append(seqs, changed(r, pick(r, seqs), rate))
	}
	return seqs
}
