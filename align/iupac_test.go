package align

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
)

// NC-IUB 1984, Nucleic Acids Research 13 (1985) 3021-3030, table 1 and the
// table of complements.
func TestCodesOfTheNomenclature(t *testing.T) {
	bases := map[byte]uint8{'A': MaskA, 'C': MaskC, 'G': MaskG, 'T': MaskT}
	table := map[byte]struct {
		bases      string
		complement byte
	}{
		'A': {"A", 'T'}, 'C': {"C", 'G'}, 'G': {"G", 'C'}, 'T': {"T", 'A'},
		'R': {"AG", 'Y'}, 'Y': {"CT", 'R'}, 'M': {"AC", 'K'}, 'K': {"GT", 'M'}, 'S': {"CG", 'S'}, 'W': {"AT", 'W'},
		'H': {"ACT", 'D'}, 'B': {"CGT", 'V'}, 'V': {"ACG", 'B'}, 'D': {"AGT", 'H'}, 'N': {"ACGT", 'N'},
	}
	for code := range 256 {
		upper := byte(code)
		if upper >= 'a' && upper <= 'z' {
			upper -= 'a' - 'A'
		}
		if upper == 'U' {
			upper = 'T'
		}
		row, ok := table[upper]
		if !ok {
			require.Zero(t, Mask(byte(code)), "%q", code)
			require.Equal(t, 0, Invalid([]byte{byte(code)}), "%q", code)
			require.Equal(t, []byte("N"), ReverseComplement([]byte{byte(code)}))
			continue
		}
		var want uint8
		for _, b := range []byte(row.bases) {
			want |= bases[b]
		}
		require.Equal(t, want, Mask(byte(code)), "%q", code)
		require.Equal(t, upper, Code(want))
		require.Equal(t, len(row.bases) == 1, Plain(byte(code)), "%q", code)
		require.Equal(t, []byte{row.complement}, ReverseComplement([]byte{byte(code)}), "%q", code)
	}
	require.Equal(t, byte('?'), Code(0))
	require.Equal(t, -1, Invalid([]byte("ACGTUacgtuRYSWKMBDHVN")))
	require.Equal(t, 2, Invalid([]byte("AC-GT")))
}

func ExampleMask() {
	fmt.Printf("%04b %04b %04b\n", Mask('A'), Mask('r'), Mask('-'))
	// Output: 0001 0101 0000
}

func ExampleCode() {
	fmt.Printf("%c %c\n", Code(MaskA|MaskG), Code(MaskN))
	// Output: R N
}

func ExamplePlain() {
	fmt.Println(Plain('u'), Plain('R'))
	// Output: true false
}

func ExampleInvalid() {
	fmt.Println(Invalid([]byte("ACGT")), Invalid([]byte("AC-T")))
	// Output: -1 2
}

func ExampleReverseComplement() {
	fmt.Printf("%s\n", ReverseComplement([]byte("AACGR")))
	// Output: YCGTT
}
