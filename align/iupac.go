package align

// The nucleotide ambiguity codes as sets of bases, one bit a base.
//
// Source: Nomenclature Committee of the International Union of Biochemistry
// (NC-IUB), Nomenclature for incompletely specified bases in nucleic acid
// sequences, recommendations 1984; Nucleic Acids Research 13 (1985)
// 3021-3030, table 1. DOI 10.1093/nar/13.9.3021.
const (
	MaskA uint8 = 1 << iota
	MaskC
	MaskG
	MaskT
	MaskN = MaskA | MaskC | MaskG | MaskT
)

// letters maps a base set to its code: letters[mask]. The empty set has none.
const letters = "?ACMGRSVTWYHKDBN"

// masks is the inverse of letters, for either case, with U read as T.
var masks = func() (t [256]uint8) {
	for m := 1; m < len(letters); m++ {
		t[letters[m]] = uint8(m)
		t[letters[m]|0x20] = uint8(m)
	}
	t['U'], t['u'] = MaskT, MaskT
	return t
}()

// complements maps a code to the code of the complementary set, upper case;
// zero for what is no nucleotide letter.
var complements = func() (t [256]byte) {
	for c := range t {
		m := masks[c]
		if m == 0 {
			continue
		}
		// A<->T is bit 0 <-> bit 3, C<->G is bit 1 <-> bit 2.
		t[c] = letters[m&1<<3|m&2<<1|m&4>>1|m&8>>3]
	}
	return t
}()

// Mask gives the bases that code stands for, zero for what is no nucleotide
// letter. Either case is read; U is T; a gap is no letter.
func Mask(code byte) uint8 { return masks[code] }

// Code gives the upper-case letter of a base set, '?' for the empty set.
func Code(mask uint8) byte { return letters[mask&MaskN] }

// Plain reports whether code is one of A, C, G, T (or U) in either case.
func Plain(code byte) bool {
	m := masks[code]
	return m != 0 && m&(m-1) == 0
}

// ReverseComplement gives the other strand of seq in a new slice, upper case.
// Letters that are no nucleotide code become N: check with Invalid first.
func ReverseComplement(seq []byte) []byte {
	return AppendReverseComplement(make([]byte, 0, len(seq)), seq)
}

// AppendReverseComplement appends what ReverseComplement gives to dst.
func AppendReverseComplement(dst, seq []byte) []byte {
	for i := len(seq) - 1; i >= 0; i-- {
		b := complements[seq[i]]
		if b == 0 {
			b = 'N'
		}
		dst = append(dst, b)
	}
	return dst
}

// Invalid gives the position of the first letter of seq that is no nucleotide
// code, -1 where all are.
func Invalid(seq []byte) int {
	for i, c := range seq {
		if masks[c] == 0 {
			return i
		}
	}
	return -1
}
