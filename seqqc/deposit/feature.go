package deposit

import (
	"fmt"
	"strings"

	"forayseq/seqqc"
)

// Feature is a part of the ribosomal DNA on a sequence.
type Feature struct {
	// Key and Product are as in the feature table of the archives.
	Key, Product string
	// Gene is how the part is worded in a definition line.
	Gene string
	// At is the stretch, half-open and 0-based; PartialStart and PartialEnd
	// say that the part goes on beyond the sequence.
	At                       seqqc.Interval
	PartialStart, PartialEnd bool
}

// features gives the parts found on a contig of n bases, in their order. A
// part that reaches the sequence's end is partial there, but for a spacer both
// of whose ends were seen.
func features(r seqqc.Region, n int) []Feature {
	if !r.Located {
		return nil
	}
	parts := []struct {
		Feature
		whole bool
	}{
		{Feature{Key: "rRNA", Product: "small subunit ribosomal RNA", Gene: "small subunit ribosomal RNA gene", At: r.SSU}, false},
		{Feature{Key: "misc_RNA", Product: "internal transcribed spacer 1", Gene: "internal transcribed spacer 1", At: r.ITS1}, r.ITS1Whole},
		{Feature{Key: "rRNA", Product: "5.8S ribosomal RNA", Gene: "5.8S ribosomal RNA gene", At: r.R58S}, false},
		{Feature{Key: "misc_RNA", Product: "internal transcribed spacer 2", Gene: "internal transcribed spacer 2", At: r.ITS2}, r.ITS2Whole},
		{Feature{Key: "rRNA", Product: "large subunit ribosomal RNA", Gene: "large subunit ribosomal RNA gene", At: r.LSU}, false},
	}
	var out []Feature
	for _, p := range parts {
		if p.At.Empty() {
			continue
		}
		p.PartialStart = p.At.Start == 0 && !p.whole
		p.PartialEnd = p.At.End == n && !p.whole
		out = append(out, p.Feature)
	}
	return out
}

// writeFeatures gives the five-column feature table of one sequence: 1-based,
// both ends included, < and > where a part goes on (published format of the
// archives, from memory).
func writeFeatures(b *strings.Builder, e Entry) {
	fmt.Fprintf(b, ">Feature %s\n", e.SeqID)
	for _, f := range e.Features {
		left, right := "", ""
		if f.PartialStart {
			left = "<"
		}
		if f.PartialEnd {
			right = ">"
		}
		fmt.Fprintf(b, "%s%d\t%s%d\t%s\n\t\t\tproduct\t%s\n", left, f.At.Start+1, right, f.At.End, f.Key, f.Product)
	}
}

// definition words what a sequence holds as archives do: parts in a row that
// are all whole or all partial are told together.
func definition(organism string, parts []Feature) string {
	if len(parts) == 0 {
		return ""
	}
	partial := func(f Feature) bool { return f.PartialStart || f.PartialEnd }
	var groups []string
	for i := 0; i < len(parts); {
		j := i
		var genes []string
		for ; j < len(parts) && partial(parts[j]) == partial(parts[i]); j++ {
			genes = append(genes, parts[j].Gene)
		}
		state := "complete sequence"
		if partial(parts[i]) {
			state = "partial sequence"
		}
		groups = append(groups, listed(genes, ", ")+", "+state)
		i = j
	}
	return organism + " " + listed(groups, "; ")
}

// listed joins words with an "and" before the last.
func listed(words []string, comma string) string {
	switch len(words) {
	case 0:
		return ""
	case 1:
		return words[0]
	case 2:
		if comma == ", " {
			return words[0] + " and " + words[1]
		}
	}
	return strings.Join(words[:len(words)-1], comma) + comma + "and " + words[len(words)-1]
}
