package refs_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"path/filepath"
	"runtime"
	"testing"

	"forayseq/refs"
	invent "forayseq/refs/phylogeny"
)

// librarySizes are those of a club's own set and of the public ones. The
// largest takes a minute to be indexed before its opening is measured.
var librarySizes = []int{5_000, 50_000, 200_000}

// invented writes a library of n records.
func invented(b *testing.B, n int) []byte {
	b.Helper()
	var text bytes.Buffer
	if err := invent.New(invent.Shape{Records: n, Seed: 1}).WriteFASTA(&text); err != nil {
		b.Fatal(err)
	}
	return text.Bytes()
}

// BenchmarkReadLibrary reads libraries that lie in memory.
func BenchmarkReadLibrary(b *testing.B) {
	for _, n := range librarySizes {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			text := invented(b, n)
			b.SetBytes(int64(len(text)))
			for b.Loop() {
				if _, err := refs.Read(bytes.NewReader(text), refs.ReadOptions{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkOpenCached opens a cached index and decodes one record, as the first
// query would; with "changed time" the library is read through once for its
// checksum. It reports the size of the file and the memory that is kept beside
// it, both per record.
func BenchmarkOpenCached(b *testing.B) {
	for _, n := range librarySizes {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			text := invented(b, n)
			lib, err := refs.Read(bytes.NewReader(text), refs.ReadOptions{})
			if err != nil {
				b.Fatal(err)
			}
			path := refs.IndexPath(filepath.Join(b.TempDir(), "refs.fasta"))
			size, err := refs.WriteIndex(path, lib, refs.Origin{})
			if err != nil {
				b.Fatal(err)
			}
			lib = nil
			open := func(b *testing.B, sum func() (string, error)) {
				if lib, err = refs.OpenIndex(path, refs.Origin{}, sum); err != nil {
					b.Fatal(err)
				}
				_ = lib.Record(n / 2)
			}
			known := sha256.Sum256(text)
			b.Run("same", func(b *testing.B) {
				var before, after runtime.MemStats
				runtime.GC()
				runtime.ReadMemStats(&before)
				for b.Loop() {
					open(b, func() (string, error) { return hex.EncodeToString(known[:]), nil })
				}
				runtime.GC()
				runtime.ReadMemStats(&after)
				b.ReportMetric(float64(size)/float64(n), "file-B/record")
				b.ReportMetric(float64(after.HeapAlloc-before.HeapAlloc)/float64(n), "kept-B/record")
				runtime.KeepAlive(lib)
			})
			b.Run("changed time", func(b *testing.B) {
				for b.Loop() {
					open(b, func() (string, error) { return refs.Sum(bytes.NewReader(text)) })
				}
			})
		})
	}
}
