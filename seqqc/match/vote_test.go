package match

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/seqqc"
)

var families = map[string]refs.Lineage{
	"Russula":   {Kingdom: "Fungi", Class: "Agaricomycetes", Order: "Russulales", Family: "Russulaceae"},
	"Lactarius": {Kingdom: "Fungi", Class: "Agaricomycetes", Order: "Russulales", Family: "Russulaceae"},
	"Amanita":   {Kingdom: "Fungi", Class: "Agaricomycetes", Order: "Agaricales", Family: "Amanitaceae"},
	"Orphanus":  {}, // invented; its place is not known
}

// ref is a hit as a test writes it down: "Russula emetica", "Russula sp.",
// "Russulaceae sp." or "uncultured fungus"; its identities; and what its
// sequence is, where two of one name may be copies.
type ref struct {
	name             string
	identity, strict float64
	seq              string
}

func window(refList ...ref) ([]seqqc.Hit, *refs.Library) {
	lib := &refs.Library{}
	var hits []seqqc.Hit
	for i, r := range refList {
		n, l := refs.Name{Verbatim: r.name}, refs.Lineage{}
		genus, epithet, _ := strings.Cut(r.name, " ")
		switch genus {
		case "uncultured":
			n.Unnamed = true
			if placed, _, _ := strings.Cut(epithet, " "); placed != "fungus" {
				l = families[placed]
				l.Genus, l.Species = placed, epithet
			}
		case "Russulaceae":
			n.Higher, n.Rank, n.Doubt = genus, refs.Family, refs.DoubtSp
			l = families["Russula"]
		default:
			n.Genus, n.Rank = genus, refs.Genus
			l = families[genus]
			l.Genus = genus
			switch e, cf := strings.CutPrefix(epithet, "cf. "); {
			case epithet == "sp.":
				n.Doubt = refs.DoubtSp
			case cf:
				n.Epithet, n.Rank, n.Doubt = e, refs.Species, refs.DoubtCf
			default:
				n.Epithet, n.Rank = e, refs.Species
				l.Species = r.name
			}
		}
		seq := r.seq
		if seq == "" {
			seq = fmt.Sprint(i)
		}
		if r.strict == 0 {
			r.strict = r.identity
		}
		lib.Records = append(lib.Records, refs.Record{ID: fmt.Sprint(i), Name: n, Lineage: l, Seq: []byte(seq)})
		hits = append(hits, seqqc.Hit{Record: i, Reference: fmt.Sprint(i), Name: n, Lineage: l, IdentityPct: r.identity,
			IdentityStrictPct: r.strict, CoveragePct: 100, Gate: seqqc.GatePass})
	}
	rank(hits)
	return hits, lib
}

func TestVote(t *testing.T) {
	many := func(n int, r ref) (out []ref) {
		for range n {
			out = append(out, r)
		}
		return out
	}
	for _, r := range []struct {
		what  string
		hits  []ref
		rank  refs.Rank
		taxon string
		flags string
		split bool
	}{
		{"two of one species", many(2, ref{name: "Russula emetica", identity: 99.8}), refs.Species, "Russula emetica", "", false},
		{"a lone one", many(1, ref{name: "Russula emetica", identity: 99.8}), refs.Species, "Russula emetica", "single_reference", false},
		{"two copies are a lone one", many(2, ref{name: "Russula emetica", identity: 99.8, seq: "x"}), refs.Species, "Russula emetica", "single_reference", false},
		{"equal sequences of two names are two", []ref{{"Russula emetica", 99.8, 0, "x"}, {"Russula sp.", 99.8, 0, "x"}},
			refs.Species, "Russula emetica", "single_reference", false},
		{"species at its threshold", many(2, ref{name: "Russula emetica", identity: 99.6}), refs.Species, "Russula emetica", "", false},
		{"below", many(2, ref{name: "Russula emetica", identity: 99.59}), refs.Genus, "Russula", "", false},
		{"genus at its threshold", many(2, ref{name: "Russula emetica", identity: 94.3}), refs.Genus, "Russula", "", false},
		{"below genus", many(2, ref{name: "Russula emetica", identity: 94.29}), refs.Family, "Russulaceae", "", false},
		{"family", many(2, ref{name: "Russula emetica", identity: 88.5}), refs.Family, "Russulaceae", "", false},
		{"below family", many(2, ref{name: "Russula emetica", identity: 88.49}), refs.Order, "Russulales", "", false},
		{"order", many(2, ref{name: "Russula emetica", identity: 81.2}), refs.Order, "Russulales", "", false},
		{"below order", many(2, ref{name: "Russula emetica", identity: 81.19}), refs.Class, "Agaricomycetes", "", false},
		{"class", many(2, ref{name: "Russula emetica", identity: 80.9}), refs.Class, "Agaricomycetes", "", false},
		{"below class", many(2, ref{name: "Russula emetica", identity: 80.89}), refs.NoRank, "", "", false},
		{"both identities", many(2, ref{name: "Russula emetica", identity: 99.8, strict: 94.2}), refs.Family, "Russulaceae", "", false},
		{"the strict one at the threshold", many(2, ref{name: "Russula emetica", identity: 99.8, strict: 94.3}), refs.Genus, "Russula", "", false},
		{"80 % of the votes", append(many(4, ref{name: "Russula emetica", identity: 99.8}), ref{name: "Russula nobilis", identity: 99.8}),
			refs.Species, "Russula emetica", "species_complex", false},
		{"75 % of the votes", append(many(3, ref{name: "Russula emetica", identity: 99.8}), ref{name: "Russula nobilis", identity: 99.8}),
			refs.Genus, "Russula", "species_complex", false},
		{"80 % for the genus", append(many(4, ref{name: "Russula emetica", identity: 98}), ref{name: "Amanita muscaria", identity: 98}),
			refs.Genus, "Russula", "", false},
		{"75 % for the genus, other order", append(many(3, ref{name: "Russula emetica", identity: 98}), ref{name: "Amanita muscaria", identity: 98}),
			refs.Class, "Agaricomycetes", "", true},
		{"75 % for the genus, same family", append(many(3, ref{name: "Russula emetica", identity: 98}), ref{name: "Lactarius deliciosus", identity: 98}),
			refs.Family, "Russulaceae", "", true},
		{"sp. votes to genus", []ref{{"Russula sp.", 99.9, 0, ""}, {"Russula sp.", 99.8, 0, ""}}, refs.Genus, "Russula", "", false},
		{"cf. votes to genus", []ref{{"Russula cf. emetica", 99.9, 0, ""}, {"Russula cf. emetica", 99.8, 0, ""}}, refs.Genus, "Russula", "", false},
		{"sp. does not count against a species", []ref{{"Russula sp.", 99.9, 0, ""}, {"Russula emetica", 99.8, 0, ""}, {"Russula emetica", 99.8, 0, ""}},
			refs.Species, "Russula emetica", "", false},
		{"another genus sp. does", []ref{{"Russula emetica", 99.9, 0, ""}, {"Russula emetica", 99.8, 0, ""}, {"Lactarius sp.", 99.8, 0, ""}},
			refs.Family, "Russulaceae", "", true},
		{"a family's record does not vote on the genus", []ref{{"Russulaceae sp.", 98, 0, ""}, {"Russula sp.", 98, 0, ""}}, refs.Genus, "Russula", "single_reference", false},
		{"nor does it alone", []ref{{"Russulaceae sp.", 98, 0, ""}, {"Russulaceae sp.", 97.9, 0, ""}}, refs.Family, "Russulaceae", "", false},
		{"but against that of another", []ref{{"Amanita sp.", 98, 0, ""}, {"Russulaceae sp.", 98, 0, ""}, {"Russulaceae sp.", 97.9, 0, ""}},
			refs.Class, "Agaricomycetes", "", true},
		{"unnamed do not vote", []ref{{"uncultured fungus", 99.9, 0, ""}, {"Russula emetica", 99.7, 0, ""}, {"Russula emetica", 99.7, 0, ""}},
			refs.Species, "Russula emetica", "nearest_is_unnamed", false},
		{"and lend no identity", []ref{{"uncultured fungus", 99.9, 0, ""}, {"Russula emetica", 99.5, 0, ""}, {"Russula emetica", 99.5, 0, ""}},
			refs.Genus, "Russula", "nearest_is_unnamed", false},
		{"nor where their lineage is given", []ref{{"uncultured Russula emetica", 99.9, 0, ""}, {"Russula emetica", 99.5, 0, ""}, {"Russula emetica", 99.5, 0, ""}},
			refs.Genus, "Russula", "nearest_is_unnamed", false},
		{"unnamed among the nearest", []ref{{"uncultured fungus", 99.7, 0, ""}, {"Russula emetica", 99.7, 0, ""}, {"Russula emetica", 99.7, 0, ""}},
			refs.Species, "Russula emetica", "", false},
		{"only unnamed", many(2, ref{name: "uncultured fungus", identity: 99.9}), refs.NoRank, "", "nearest_is_unnamed", false},
		{"place not known", many(2, ref{name: "Orphanus magnus", identity: 90}), refs.NoRank, "", "", false},
		{"its genus is", many(2, ref{name: "Orphanus magnus", identity: 95}), refs.Genus, "Orphanus", "", false},
		{"outside the window nobody votes", []ref{{"Russula emetica", 99.8, 0, ""}, {"Russula emetica", 99.8, 0, ""}, {"Amanita muscaria", 99.29, 0, ""}},
			refs.Species, "Russula emetica", "", false},
		{"at its edge they do", []ref{{"Russula emetica", 99.75, 0, ""}, {"Russula emetica", 99.75, 0, ""}, {"Lactarius deliciosus", 99.25, 0, ""}},
			refs.Family, "Russulaceae", "", true},
	} {
		t.Run(r.what, func(t *testing.T) {
			hits, lib := window(r.hits...)
			m := &seqqc.Match{Hits: hits}
			count(m, lib, Defaults())
			require.Equal(t, r.rank, m.Supported, "%+v", m.Votes)
			require.Equal(t, r.taxon, m.Taxon)
			require.Equal(t, r.flags, seqqc.JoinFlags(m.Flags))
			require.Equal(t, r.split, m.Disagree)
			require.Equal(t, r.what == "only unnamed", m.Unnamed)
			require.Equal(t, r.rank, m.Lineage.Deepest(), "the lineage goes down to the taxon")
		})
	}
}

func TestWindow(t *testing.T) {
	p := Defaults()
	for best, want := range map[float64]float64{100: 0.5, 98: 0.5, 97.9: 0.525, 94: 1.5, 80.9: 4.775, 80.89: 0, 60: 0} {
		require.InDelta(t, want, p.Window(best), 1e-9, best)
	}
	for _, r := range []struct {
		second float64
		in     int
	}{{92.5, 2}, {92.499, 1}} {
		hits, lib := window(ref{name: "Russula emetica", identity: 94}, ref{name: "Russula emetica", identity: r.second})
		m := &seqqc.Match{Hits: hits}
		count(m, lib, p)
		require.Equal(t, r.in, m.InWindow, r.second)
		require.Equal(t, 1.5, m.WindowPct)
	}
}

// TestVoteOracle compares the supported taxon with a plain recount on random
// windows, written from the rules alone.
func TestVoteOracle(t *testing.T) {
	names := []string{"Russula emetica", "Russula nobilis", "Russula sp.", "Lactarius deliciosus", "Amanita muscaria", "uncultured fungus", "Russulaceae sp."}
	state := uint64(1)
	rnd := func(n int) int {
		state = state*6364136223846793005 + 1442695040888963407
		return int(state>>33) % n
	}
	p := Defaults()
	supported := map[refs.Rank]int{}
	for range 20000 {
		best := []float64{100, 99.6, 97, 94.3, 90, 85, 81}[rnd(7)]
		var list []ref
		for i := range 1 + rnd(6) {
			list = append(list, ref{names[rnd(1+rnd(len(names)))], best - 0.05*float64(i), 0, fmt.Sprint(rnd(4))})
		}
		hits, lib := window(list...)
		m := &seqqc.Match{Hits: hits}
		count(m, lib, p)
		rank, taxon := recount(hits, lib, p)
		require.Equal(t, rank, m.Supported, "%v", list)
		require.Equal(t, taxon, m.Taxon, "%v", list)
		supported[rank]++
	}
	for _, r := range []refs.Rank{refs.NoRank, refs.Class, refs.Family, refs.Genus, refs.Species} {
		require.NotZero(t, supported[r], r)
	}
}

// recount tries every taxon of every rank, narrowest first.
func recount(hits []seqqc.Hit, lib *refs.Library, p Params) (refs.Rank, string) {
	width := math.Max(0.5, (100-hits[0].IdentityPct)/4)
	for r := refs.Species; r >= refs.Kingdom; r-- {
		for _, candidate := range hits {
			taxon := candidate.Lineage.At(r)
			if taxon == "" {
				continue
			}
			yes, no, reach := map[string]bool{}, map[string]bool{}, false
			for _, h := range hits {
				if h.IdentityPct < hits[0].IdentityPct-width || h.Name.Unnamed {
					continue
				}
				key := h.Name.Verbatim + "/" + string(lib.Record(h.Record).Seq)
				switch {
				case h.Lineage.At(r) == taxon:
					yes[key] = true
					reach = reach || h.IdentityPct >= p.Thresholds.At(r) && h.IdentityStrictPct >= p.Thresholds.At(r)
				case h.Lineage.At(r) != "", h.Lineage.PartsAt(candidate.Lineage.Upto(r)) != refs.NoRank:
					no[key] = true
				}
			}
			if reach && 5*len(yes) >= 4*(len(yes)+len(no)) {
				return r, taxon
			}
		}
	}
	return refs.NoRank, ""
}
