package main

import (
	"math"
	"slices"
	"strings"

	"forayseq/align"
	"forayseq/seqqc"
)

// truth is what is true of a sample. Sequences are amplicons on the coding
// strand.
type truth struct {
	// alleles are the sequences of the specimen, the main one first.
	alleles [][]byte
	// sites are the places where two alleles of one length differ.
	sites []int
	// reads say for each read what it stands on; nil entries ask nothing.
	reads []readTruth
	// genus is that of the main template, other that of the second; empty where
	// it is not asked.
	genus, other string
}

// readTruth is the place of an indel in one read: the doubling begins at any of
// calls, and is of size bases.
type readTruth struct {
	calls seqqc.Interval
	size  int
}

// flags gives all flags that speak of the sample's DNA.
func (o outcome) flags() []seqqc.Flag {
	lists := [][]seqqc.Flag{o.verdict.Flags}
	if o.Contig != nil {
		lists = append(lists, o.Contig.Flags)
	}
	if o.Match != nil {
		lists = append(lists, o.Match.Flags)
	}
	for _, r := range o.reads {
		lists = append(lists, r.Flags)
	}
	return seqqc.MergeFlags(lists...)
}

// found counts the samples with a flag.
func found(f seqqc.Flag) question {
	return question{string(f), func(_ truth, o outcome) (int, int) {
		return count(slices.Contains(o.flags(), f)), 1
	}}
}

// alarms counts the samples with a flag of a second template or a chimera that
// is none of those allowed.
func alarms(allowed ...seqqc.Flag) question {
	return question{"false alarm", func(_ truth, o outcome) (int, int) {
		for _, f := range []seqqc.Flag{seqqc.MixedTemplate, seqqc.IndelHeterozygote, seqqc.ChimeraSuspected} {
			if !slices.Contains(allowed, f) && slices.Contains(o.flags(), f) {
				return 1, 1
			}
		}
		return 0, 1
	}}
}

// falseFlag counts the reads that one flag is raised for, with the contig's
// flag held against all of them.
func falseFlag(f seqqc.Flag) question {
	return question{"false " + string(f), func(_ truth, o outcome) (int, int) {
		return len(o.reads) * count(slices.Contains(o.flags(), f)), len(o.reads)
	}}
}

func count(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

// manyCopies counts the samples of which a read says that two templates do not
// explain it.
var manyCopies = question{"more than two said", func(_ truth, o outcome) (int, int) {
	for _, r := range o.reads {
		if r.Copies != nil && r.Copies.Kind == seqqc.ManyCopies {
			return 1, 1
		}
	}
	return 0, 1
}}

// indelPlace and indelSize ask each read: does the doubling begin where it
// does (any place along a repeat that gives the same alleles will do) or within
// slack calls of it, and is its size right? A read that tells of no indel is
// wrong.
func indelPlace(name string, slack int) question {
	return question{name, func(t truth, o outcome) (right, cases int) {
		return indels(t, o, func(is readTruth, s seqqc.CopyStretch) bool {
			return s.At.Start >= is.calls.Start-slack && s.At.Start < is.calls.End+slack
		})
	}}
}

var indelSize = question{"indel size right, of reads", func(t truth, o outcome) (right, cases int) {
	return indels(t, o, func(is readTruth, s seqqc.CopyStretch) bool {
		return int(math.Abs(float64(s.Shift))) == is.size
	})
}}

func indels(t truth, o outcome, ok func(readTruth, seqqc.CopyStretch) bool) (right, cases int) {
	for k, is := range t.reads {
		if is.size == 0 {
			continue
		}
		cases++
		c := o.reads[k].Copies
		if c == nil {
			continue
		}
		if at := slices.IndexFunc(c.Stretches, func(s seqqc.CopyStretch) bool { return s.Shift != 0 && !s.Apart }); at >= 0 {
			right += count(ok(is, c.Stretches[at]))
		}
	}
	return right, cases
}

// allelesRight asks whether contig and second copy are the two alleles.
var allelesRight = question{"both alleles right", func(t truth, o outcome) (int, int) {
	if o.Contig == nil || o.Contig.Second == nil {
		return 0, 1
	}
	got := [][]byte{o.Contig.Bases, []byte(o.Contig.Second.Sequence)}
	a, b := t.alleles[0], t.alleles[1]
	return count(is(got[0], a) && is(got[1], b) || is(got[0], b) && is(got[1], a)), 1
}}

// contigRight asks whether the contig is one of the alleles.
var contigRight = question{"contig right", func(t truth, o outcome) (int, int) {
	return count(o.Contig != nil && slices.ContainsFunc(t.alleles, func(a []byte) bool { return is(o.Contig.Bases, a) })), 1
}}

// The bases of an amplicon of ITS1-F and ITS4 before and behind its ITS.
const ssuBases, lsuBases = 46, 58

// is reports whether seq is the amplicon known, letter for letter, over all of
// its ITS but for 5 %.
func is(seq, known []byte) bool {
	its := known[ssuBases : len(known)-lsuBases]
	al, err := align.Overlap(seq, its, align.ITS)
	if err != nil {
		return false
	}
	c, err := al.Count(seq, its)
	return err == nil && c.IdenticalStrict == c.Columns && 100*c.Columns >= 95*len(its)
}

// codes asks of each site where two alleles differ whether the contig has the
// code for both.
var codes = question{"site coded", func(t truth, o outcome) (right, cases int) {
	if o.Contig == nil {
		return 0, len(t.sites)
	}
	at := onto(o.Contig.Bases, t.alleles[0])
	for _, s := range t.sites {
		if i, ok := at[s]; ok {
			right += count(align.Mask(o.Contig.Bases[i]) == align.Mask(t.alleles[0][s])|align.Mask(t.alleles[1][s]))
		}
	}
	return right, len(t.sites)
}}

// falseCodes counts the contigs with a code where the alleles do not differ.
var falseCodes = question{"false code", func(t truth, o outcome) (int, int) {
	if o.Contig == nil {
		return 0, 0
	}
	at := onto(o.Contig.Bases, t.alleles[0])
	for s, i := range at {
		if m := align.Mask(o.Contig.Bases[i]); m&(m-1) != 0 && m != align.MaskN && !slices.Contains(t.sites, s) {
			return 1, 1
		}
	}
	return 0, 1
}}

// onto gives for the places in known the places in seq that lie over them.
func onto(seq, known []byte) map[int]int {
	out := map[int]int{}
	al, err := align.Overlap(seq, known, align.ITS)
	if err != nil {
		return out
	}
	i, j := al.AStart, al.BStart
	for _, run := range al.Runs {
		for range run.Len {
			if run.Op == align.Pair {
				out[j] = i
			}
			i += count(run.Op != align.OnlyB)
			j += count(run.Op != align.OnlyA)
		}
	}
	return out
}

// mainNamed and otherNamed ask whether the best hit of the contig, and of the
// second template read out of it, is of the right genus.
var mainNamed = question{"main genus right", func(t truth, o outcome) (int, int) {
	return count(best(o.Match) == t.genus), 1
}}

var otherNamed = question{"other genus right", func(t truth, o outcome) (int, int) {
	return count(o.Minor != nil && best(o.Minor.Match) == t.other), 1
}}

func best(m *seqqc.Match) string {
	if m == nil || len(m.Hits) == 0 {
		return ""
	}
	genus, _, _ := strings.Cut(m.Hits[0].Reference, "_")
	return genus
}
