package align

import "math/bits"

// Packed is a sequence at four bits a letter: the set of bases that it stands
// for, none where it is no nucleotide code.
type Packed struct {
	words []uint64 // sixteen letters a word, the first in the lowest bits
	n     int
}

// Pack packs a sequence. It takes len(seq)/2 bytes.
func Pack(seq []byte) Packed {
	p := Packed{words: make([]uint64, (len(seq)+15)/16), n: len(seq)}
	for i, c := range seq {
		p.words[i/16] |= uint64(masks[c]) << (4 * (i % 16))
	}
	return p
}

// Len gives the number of letters.
func (p Packed) Len() int { return p.n }

// Reading is a direction in which a Packed is read. The letters of the other
// strand are those that ReverseComplement gives, but for what is no
// nucleotide code: that matches nothing.
type Reading uint8

const (
	Forward             Reading = iota // from the first letter
	Backward                           // from the last
	OtherStrand                        // reversed and complemented
	OtherStrandBackward                // the other strand from its last letter
)

// letters gives sixteen letters from position i, a multiple of 16, of what is
// read, the first in the lowest bits; no bases beyond the end.
//
// The bits of a set turned round are those of the complements, so a word
// turned round bit by bit is reversed and complemented.
func (p Packed) letters(i int, reading Reading) uint64 {
	if reading == Forward || reading == OtherStrandBackward {
		w := p.words[i/16]
		if reading == OtherStrandBackward {
			w = reverseLetters(bits.Reverse64(w))
		}
		return w
	}
	var w uint64
	switch from := p.n - 16 - i; {
	case from < 0:
		w = p.words[0] << (-4 * from)
	case from%16 == 0:
		w = p.words[from/16]
	default:
		w = p.words[from/16]>>(4*(from%16)) | p.words[from/16+1]<<(64-4*(from%16))
	}
	if reading == OtherStrand {
		return bits.Reverse64(w)
	}
	return reverseLetters(w)
}

func reverseLetters(w uint64) uint64 {
	const low = 0x0f0f0f0f0f0f0f0f
	w = bits.ReverseBytes64(w)
	return w&low<<4 | w>>4&low
}
