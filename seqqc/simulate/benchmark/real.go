package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"

	"forayseq/align"
	"forayseq/seqqc"
	"forayseq/seqqc/simulate"
	"forayseq/seqqc/trace"
)

// realCases are the good ones of the real reads, alone and added to one
// another; none where there is no open data.
func realCases(dir string, number int) ([]phenomenon, error) {
	if dir == "" {
		return nil, nil
	}
	reads, err := goodReads(filepath.Join(dir, "abif", "fungal_its1f"))
	if err != nil {
		return nil, err
	}
	alone := func(name string, of func(*seqqc.Trace) *seqqc.Trace) phenomenon {
		return phenomenon{name, "-", "real", len(reads), func(_ *rand.Rand, i int) (sample, error) {
			return sample{reads: []chromatogram{{"ITS1-F", of(reads[i])}}}, nil
			// What is true of a real read is not known: the row counts flags.
		}, []question{found(seqqc.MixedTemplate), found(seqqc.IndelHeterozygote)}}
	}
	out := []phenomenon{
		alone("real read", func(t *seqqc.Trace) *seqqc.Trace { return t }),
		alone("real read, called anew", simulate.Recall),
	}
	pairs := strangers(reads)
	for _, pct := range []int{5, 10, 15, 25, 40, 50} {
		out = append(out, phenomenon{"two real reads", fmt.Sprintf("%d %%", pct), "real", min(number, len(pairs)), func(_ *rand.Rand, i int) (sample, error) {
			// No pair twice: the same chromatogram twice would be used once.
			p := pairs[i*len(pairs)/min(number, len(pairs))]
			t, _, err := simulate.Blend(p[0], p[1], float64(pct)/100)
			return sample{reads: []chromatogram{{"ITS1-F", t}}}, err
		}, []question{found(seqqc.MixedTemplate), alarms(seqqc.MixedTemplate)}})
	}
	return out, nil
}

// goodReads gives the reads whose calls 100 to 500 have a mean quality of at
// least 40.
func goodReads(dir string) ([]*seqqc.Trace, error) {
	names, err := filepath.Glob(filepath.Join(dir, "*.ab1"))
	if err != nil {
		return nil, err
	}
	var out []*seqqc.Trace
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			return nil, err
		}
		t, err := trace.DecodeABIF(bytes.NewReader(text), trace.Limits{})
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		if len(t.Quals) < 510 {
			continue
		}
		sum := 0
		for _, q := range t.Quals[100:500] {
			sum += int(q)
		}
		if sum >= 40*400 {
			out = append(out, t)
		}
	}
	if len(out) < 2 {
		return nil, fmt.Errorf("%s holds %d good reads, and two are needed", dir, len(out))
	}
	return out, nil
}

// strangers gives the ordered pairs of reads of which calls 50 to 450 are less
// than 90 % identical.
func strangers(reads []*seqqc.Trace) [][2]*seqqc.Trace {
	var out [][2]*seqqc.Trace
	for _, a := range reads {
		for _, b := range reads {
			x, y := a.Bases[50:450], b.Bases[50:450]
			al, err := align.Overlap(x, y, align.ITS)
			if err != nil {
				continue // letters that are no code: nothing to compare
			}
			if c, err := al.Count(x, y); err == nil && c.IdentityPct() < 90 {
				out = append(out, [2]*seqqc.Trace{a, b})
			}
		}
	}
	return out
}
