package main

import (
	"bufio"
	"bytes"
	_ "embed"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/biogo/biogo/alphabet"

	"forayseq/align"
	"forayseq/refs/phylogeny"
)

// fitted aligns each query with some references by the biogo library: the
// whole query anywhere in a reference, on both strands. Queries are the seconds
// for one reference.
func fitted(j job, queries []phylogeny.Query, r *result) error {
	lib, err := readLibrary(j.Dir)
	if err != nil {
		return err
	}
	scores, open := align.ITS.Biogo()
	next := 0
	// The first query is aligned twice, so that its pages of memory are there.
	for i, q := range append(queries[:1:1], queries...) {
		strands := [][]byte{q.Seq, align.ReverseComplement(q.Seq)}
		start := processorTime()
		for range j.Pairs {
			seq := lib.Record(next % lib.Len()).Seq
			next++
			for _, strand := range strands {
				if _, err := align.Biogo(align.Fitted, seq, strand, alphabet.DNAredundant, scores, open); err != nil {
					return err
				}
			}
		}
		if i > 0 {
			r.Queries = append(r.Queries, (processorTime()-start)/float64(j.Pairs))
		}
	}
	return nil
}

//go:embed edlib.cpp.txt
var edlibSource []byte

// edlibDriver compiles the program that runs edlib, and gives its path.
func edlibDriver(dir string) (string, error) {
	compiler, err := exec.LookPath("g++")
	if err != nil {
		return "", errors.New("no C++ compiler (Debian package g++)")
	}
	source, program := filepath.Join(dir, "edlib.cpp"), filepath.Join(dir, "edlib-driver")
	if err := os.WriteFile(source, edlibSource, 0o644); err != nil {
		return "", err
	}
	if text, err := exec.Command(compiler, "-O2", "-o", program, source, "-ledlib").CombinedOutput(); err != nil {
		first, _, _ := strings.Cut(string(text), "\n")
		return "", fmt.Errorf("not installed (Debian package libedlib-dev): %s", first)
	}
	return program, nil
}

// edlib runs that program on the first n records. Bounds are by query, all -1
// for none. It gives the seconds by query, and what the tenth best has of edits
// (-1 where fewer are within the bound).
func edlib(program, dir string, queries []phylogeny.Query, bounds []int, n int) (seconds []float64, tenth []int, err error) {
	var input bytes.Buffer
	for i, q := range queries {
		bound := -1
		if bounds != nil {
			bound = bounds[i]
		}
		fmt.Fprintf(&input, "%s %d\n", q.Seq, bound)
	}
	cmd := exec.Command(program, filepath.Join(dir, libraryFile), strconv.Itoa(n), strconv.Itoa(listed))
	cmd.Stdin = &input
	cmd.Stderr = os.Stderr
	text, err := cmd.Output()
	if err != nil {
		return nil, nil, fmt.Errorf("edlib: %w", err)
	}
	for lines := bufio.NewScanner(bytes.NewReader(text)); lines.Scan(); {
		var s float64
		var edits int
		if _, err := fmt.Sscan(lines.Text(), &s, &edits); err != nil {
			return nil, nil, fmt.Errorf("edlib: %q: %w", lines.Text(), err)
		}
		seconds, tenth = append(seconds, s), append(tenth, edits)
	}
	if len(seconds) != len(queries) {
		return nil, nil, fmt.Errorf("edlib answered %d of %d queries", len(seconds), len(queries))
	}
	return seconds, tenth, nil
}
