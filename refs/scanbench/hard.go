package main

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"

	"forayseq/refs/phylogeny"
)

// hardLibrary is one that a search might be slow in, or wrong.
type hardLibrary struct {
	name   string
	genera int // of the tree, 0 for as many as grow
	copies int // of each sequence
	// alter changes the sequence of a record, which it may write to.
	alter func(r *rand.Rand, seq []byte) []byte
}

// hardLibraries have one oddity each, the frequent ones in every second record.
var hardLibraries = []hardLibrary{
	{"as usual", 0, 1, func(_ *rand.Rand, seq []byte) []byte { return seq }},
	{"one genus", 1, 1, func(_ *rand.Rand, seq []byte) []byte { return seq }},
	{"100 copies of each", 0, 100, func(_ *rand.Rand, seq []byte) []byte { return seq }},
	{"long runs of one base", 0, 1, func(r *rand.Rand, seq []byte) []byte {
		return slices.Insert(seq, r.IntN(len(seq)), bytes.Repeat([]byte{"ACGT"[r.IntN(4)]}, r.IntN(2)*(15+r.IntN(40)))...)
	}},
	{"runs of N", 0, 1, func(r *rand.Rand, seq []byte) []byte {
		at := r.IntN(len(seq))
		run := r.IntN(2) * (10 + r.IntN(150))
		copy(seq[at:min(len(seq), at+run)], bytes.Repeat([]byte("N"), run))
		return seq
	}},
	{"codes all over", 0, 1, func(r *rand.Rand, seq []byte) []byte {
		for range r.IntN(2) * len(seq) / 12 {
			seq[r.IntN(len(seq))] = "RYSWKMBDHVN"[r.IntN(11)]
		}
		return seq
	}},
	{"repeats of few bases", 0, 1, func(r *rand.Rand, seq []byte) []byte {
		if r.IntN(2) == 0 {
			return seq
		}
		unit := seq[:min(len(seq), 1+r.IntN(6))]
		out := bytes.Repeat(unit, 1+len(seq)/len(unit))
		for range len(out) / 30 {
			out[r.IntN(len(out))] = "ACGT"[r.IntN(4)]
		}
		return out
	}},
	{"very short", 0, 1, func(r *rand.Rand, seq []byte) []byte {
		if r.IntN(2) == 0 {
			return seq
		}
		return seq[:min(len(seq), 1+r.IntN(100))]
	}},
	{"one in 200 very long", 0, 1, func(r *rand.Rand, seq []byte) []byte {
		if r.IntN(200) > 0 {
			return seq
		}
		around := make([]byte, 2000+r.IntN(20_000))
		for i := range around {
			around[i] = "ACGT"[r.IntN(4)]
		}
		return slices.Concat(around, seq, around[:len(around)/2])
	}},
}

// write writes n records, made from those of tree.
func (h hardLibrary) write(w io.Writer, tree *phylogeny.Tree, n int) error {
	out := bufio.NewWriter(w)
	for i := range n {
		r := tree.Record(i / h.copies)
		rng := rand.New(rand.NewPCG(3, uint64(i/h.copies)))
		if _, err := fmt.Fprintf(out, ">X%d%s\n%s\n", i, r.Header[len(r.ID):], h.alter(rng, r.Seq)); err != nil {
			return err
		}
	}
	return out.Flush()
}

// hard measures the search in libraries of n references of each kind, and holds
// it to aligning every reference for each of the queries.
func (b *bench) hard(out *strings.Builder, n int) error {
	header := []string{"library", "index", "its size"}
	for _, k := range phylogeny.Kinds {
		header = append(header, k.String())
	}
	header = append(header, "greatest", "every aligned")
	var rows [][]string
	for _, h := range hardLibraries {
		tree := phylogeny.New(phylogeny.Shape{Records: n, Seed: b.opt.seed, Genera: h.genera})
		only := *b
		only.opt.only = []string{"search", "every"}
		only.opt.queries = min(b.opt.queries, 3)
		only.opt.every = len(phylogeny.Kinds) * only.opt.queries
		only.edlib, only.kernels = "", nil
		f, err := only.measureLibrary(material{
			name: fmt.Sprintf("%d references, %s", n, h.name), size: n, tree: tree,
			dir:   filepath.Join(b.opt.dir, "hard"),
			write: func(w io.Writer) error { return h.write(w, tree, n) },
		})
		if err != nil {
			return err
		}
		row := []string{h.name, seconds(f.index.Build), megabytes(f.index.Bytes)}
		for _, k := range phylogeny.Kinds {
			row = append(row, seconds(median(f.ofKind(f.search.Queries, k))))
		}
		rows = append(rows, append(row, seconds(slices.Max(f.search.Queries)), seconds(median(f.column(byEvery)))))
	}
	fmt.Fprintf(out, "\nThe search in %d odd references, median processor time a query by kind; all hits equal those of aligning every reference\n", n)
	writeTable(out, header, rows)
	return nil
}
