package match

import (
	"slices"

	"forayseq/refs"
	"forayseq/seqqc"
)

// count lets the window vote and fills in what follows from it: the window,
// the votes, the supported taxon and the flags.
//
// Who votes. Names that changed vote under the name in use (see
// refs.Library.TakeNames). A record votes at every rank at which its lineage has a name:
// "Russula sp." from genus up, a record that names nothing ("uncultured
// fungus") nowhere. Records of one name with identical sequences are one vote:
// they may be one deposit under two numbers, and tell nothing that one of them
// does not. Two records are independent where they are not such copies; that
// two deposits come from two collections is more than a library tells.
//
// What counts against. A record without a name at a rank is silent there
// unless its broader names exclude the taxon in question: Lactarius sp. is no
// vote for a species, but it is one against every species of Russula.
//
// What supports. Some hit of the window must reach the rank's threshold, so
// must one of the taxon's own voters (an unnamed best hit or one of another
// name lends its identity to nobody), each in both identities, and the share of
// votes must be large enough. One vote alone supports; that is flagged.
func count(m *seqqc.Match, lib *refs.Library, p Params) {
	if len(m.Hits) == 0 {
		return
	}
	m.WindowPct, m.InWindow = p.Window(bestOf(m.Hits)), inWindow(m.Hits, p)
	window := m.Hits[:m.InWindow]
	voters := electorate(window, lib)
	m.Unnamed = len(voters) == 0
	lone := false
	for _, r := range refs.Ranks {
		v := seqqc.Vote{Rank: r, Threshold: p.Thresholds.At(r)}
		v.Reached = slices.ContainsFunc(window, func(h seqqc.Hit) bool { return !h.Doubtful && reaches(h, v.Threshold) })
		tally(&v, voters)
		agreed := v.For > 0 && 100*float64(v.For) >= p.MinSharePct*float64(v.Of)
		v.Supported = v.Reached && agreed && slices.ContainsFunc(voters, func(h seqqc.Hit) bool {
			return h.Lineage.At(r) == v.Taxon && reaches(h, v.Threshold)
		})
		m.Votes = append(m.Votes, v)
		switch {
		case v.Supported:
			m.Supported, m.Taxon = r, v.Taxon
			lone = v.For == 1
			m.Disagree = false
		case v.Reached && v.Of > 0 && !agreed && r <= refs.Genus:
			m.Disagree = true
		}
	}
	m.Lineage = lineageOf(m.Supported, m.Taxon, voters)
	m.Flags = flags(m, p, lone)
}

func reaches(h seqqc.Hit, threshold float64) bool {
	return h.IdentityPct >= threshold && h.IdentityStrictPct >= threshold
}

// electorate gives the hits that vote, copies left out, in their order.
func electorate(window []seqqc.Hit, lib *refs.Library) []seqqc.Hit {
	type copies struct {
		taxon   string
		doubt   refs.Doubt
		lineage refs.Lineage
		seq     string
	}
	seen := map[copies]bool{}
	var out []seqqc.Hit
	for _, h := range window {
		if !votes(h) {
			continue
		}
		key := copies{lib.Current(h.Name).Taxon(), h.Name.Doubt, h.Lineage, string(lib.Record(h.Record).Seq)}
		if seen[key] {
			continue
		}
		seen[key] = true
		out = append(out, h)
	}
	return out
}

// votes reports whether a hit has a name that votes: one that is not doubtful. A
// record may have its lineage from the user's table and no name in its header.
func votes(h seqqc.Hit) bool {
	return !h.Doubtful && !h.Name.Unnamed && h.Lineage.Deepest() != refs.NoRank
}

// tally counts the votes at v.Rank. Of two taxa with as many votes the one
// with the nearer hit is named.
func tally(v *seqqc.Vote, voters []seqqc.Hit) {
	n := map[string]int{}
	for _, h := range voters {
		if t := h.Lineage.At(v.Rank); t != "" {
			n[t]++
		}
	}
	for _, h := range voters {
		if t := h.Lineage.At(v.Rank); t != "" && n[t] > v.For {
			v.Taxon, v.For = t, n[t]
		}
	}
	if v.Taxon == "" {
		return
	}
	v.Records = v.For
	lineage := lineageOf(v.Rank, v.Taxon, voters)
	for _, h := range voters {
		if h.Lineage.At(v.Rank) != "" || h.Lineage.PartsAt(lineage) != refs.NoRank {
			v.Of++
		}
	}
}

// lineageOf gives the lineage of a taxon as its voters tell it, the nearest
// first.
func lineageOf(r refs.Rank, taxon string, voters []seqqc.Hit) refs.Lineage {
	var l refs.Lineage
	for _, h := range voters {
		if r == refs.NoRank || h.Lineage.At(r) != taxon {
			continue
		}
		for _, q := range refs.Ranks {
			if q <= r && l.At(q) == "" {
				l.Set(q, h.Lineage.At(q))
			}
		}
	}
	return l
}

func flags(m *seqqc.Match, p Params, lone bool) []seqqc.Flag {
	var out []seqqc.Flag
	if m.Supported != refs.NoRank && lone {
		out = append(out, seqqc.SingleReference)
	}
	if len(m.Doubtful) > 0 {
		out = append(out, seqqc.ReferenceDoubtful)
	}
	species := map[string]bool{}
	for _, h := range m.Hits[:m.InWindow] {
		if s := h.Lineage.Species; s != "" && votes(h) && reaches(h, p.Thresholds.Species) {
			species[s] = true
		}
	}
	if len(species) > 1 {
		out = append(out, seqqc.SpeciesComplex)
	}
	if !slices.ContainsFunc(m.Hits, func(h seqqc.Hit) bool { return h.Rank == 1 && (votes(h) || h.Doubtful) }) {
		out = append(out, seqqc.NearestIsUnnamed)
	}
	return seqqc.MergeFlags(out)
}
