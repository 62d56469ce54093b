package align

import "fmt"

// Words gives the letters sixteen to a word, the first in the lowest bits. They
// are not to be written to.
func (p Packed) Words() []uint64 { return p.words }

// PackedWords gives the sequence of n letters whose Words these are, without
// copying them. It is an error where their number is another, or where there
// is a letter behind the last.
func PackedWords(words []uint64, n int) (Packed, error) {
	switch last := n % 16; {
	case n < 0 || len(words) != (n+15)/16:
		return Packed{}, fmt.Errorf("%d words for %d packed letters", len(words), n)
	case last != 0 && words[len(words)-1]>>(4*last) != 0:
		return Packed{}, fmt.Errorf("letters behind the last of %d", n)
	}
	return Packed{words: words, n: n}, nil
}

// AppendLetters appends the letters to dst, upper case, T for U, '?' for what
// is no nucleotide code.
func (p Packed) AppendLetters(dst []byte) []byte {
	for i := range p.n {
		dst = append(dst, letters[p.words[i/16]>>(4*(i%16))&15])
	}
	return dst
}
