package refs

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestTypeMaterial(t *testing.T) {
	for header, want := range map[string]bool{
		"NR_172802.1 Amanita vladimirii BRNM 825828 ITS region; from TYPE material": true,
		"X1 Russula emetica voucher H 1 holotype":                                   true,
		"X1 Russula emetica [type_material=epitype of Russula emetica]":             true,
		"X1 Russula emetica culture CBS 1 ex-type":                                  true,
		"X1 Russula emetica ex-neotype strain":                                      true,
		"X1 Russula emetica ITS type 1, haplotype 3, genotype B, ecotype dry":       false,
		"X1 Russula emetica wild type material":                                     false,
		"X1 Russula emetica mating-type specimen":                                   false,
		"X1 Russula typica":      false,
		"X1 Typhula phacorrhiza": false,
	} {
		require.Equal(t, want, TypeMaterial(header), header)
	}
}

// Outside check: RefSeq's titles end in "from TYPE material" where the record is
// of type material (NCBI RefSeq, by way of metacoder).
func TestTypeMaterialOfArchives(t *testing.T) {
	n := 0
	for _, h := range headersOf(t, openData(t, "its", "refseq_its.fasta")) {
		require.Equal(t, strings.Contains(h, "from TYPE material"), TypeMaterial(h), h)
		if TypeMaterial(h) {
			n++
		}
	}
	require.NotZero(t, n)
}
