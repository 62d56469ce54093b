package trace

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"
)

// The benchmarks decode a synthetic read of 700 bases in 8,420 points.

func BenchmarkDecodeABIF(b *testing.B) {
	file := encodeABIF(b, synthetic(1, 700))
	b.SetBytes(int64(len(file)))
	b.ReportAllocs()
	for b.Loop() {
		_, err := DecodeABIF(bytes.NewReader(file), Limits{})
		require.NoError(b, err)
	}
}

func BenchmarkDecodeSCF(b *testing.B) {
	for _, version := range []int{2, 3} {
		b.Run(fmt.Sprintf("version %d", version), func(b *testing.B) {
			file := encodeSCF(b, synthetic(1, 700), version, 2)
			b.SetBytes(int64(len(file)))
			b.ReportAllocs()
			for b.Loop() {
				_, err := DecodeSCF(bytes.NewReader(file), Limits{})
				require.NoError(b, err)
			}
		})
	}
}

func BenchmarkDecodeFASTQ(b *testing.B) {
	file := strings.Repeat("@r\n"+strings.Repeat("ACGTN", 140)+"\n+\n"+strings.Repeat("I", 700)+"\n", 96)
	b.SetBytes(int64(len(file)))
	b.ReportAllocs()
	for b.Loop() {
		_, err := DecodeFASTQ(strings.NewReader(file), Limits{})
		require.NoError(b, err)
	}
}

// BenchmarkFolderArchive reads a plate of 96 reads from a zip archive.
func BenchmarkFolderArchive(b *testing.B) {
	var pairs []string
	for i := range 96 {
		pairs = append(pairs, fmt.Sprintf("%02d.ab1", i), string(encodeABIF(b, synthetic(uint64(i), 700))))
	}
	fsys := fstest.MapFS{"plate.zip": file(zipOf(b, pairs...))}
	b.SetBytes(int64(len(fsys["plate.zip"].Data)))
	b.ReportAllocs()
	for b.Loop() {
		n := 0
		for it := range Folder(fsys, ".", Limits{}) {
			require.Equal(b, Usable, it.Status)
			n++
		}
		require.Equal(b, 96, n)
	}
}
