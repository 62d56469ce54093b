package verdict

import (
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/seqqc"
)

type row struct {
	rule string
	// does is "fires", "silent" (the evidence is there and says otherwise) or
	// "blind" (the evidence is missing: the rule must not guess).
	does string
	what string
	c    Case
}

func none() Case {
	return Case{Voucher: "V1", Kind: seqqc.Specimen, Field: field("Russula"), Chosen: -1}
}

// kept gives the case one opened read with a stretch of n bases kept.
func kept(c Case, n int) Case {
	return c.with(func(c *Case) { c.ReadsOpened, c.LongestKept = 1, n })
}

func blank(c Case) Case    { return c.with(func(c *Case) { c.Kind = seqqc.Blank }) }
func positive(c Case) Case { return c.with(func(c *Case) { c.Kind = seqqc.Positive }) }

func poor() Case {
	c := none()
	c.Samples = []seqqc.SampleResult{{ReadFiles: []string{"a.ab1"}, Contig: contigOf(60)}}
	return kept(c, 60)
}

func agreed() Case {
	return specimen(field("Russula emetica"), offered(matched("Russula emetica", 99.8), "Russula", 99.8))
}

func conflictCase() Case {
	return specimen(field("Russula emetica"), offered(matched("Lactarius", 98), "Russula", 90))
}

func twoSamples(identity float64, a, b *seqqc.Match) Case {
	c := specimen(field("Russula"), a)
	c.Samples = append(c.Samples, seqqc.SampleResult{Contig: contigOf(500), Match: b})
	c.SampleIdentityPct = identity
	return c
}

func notITS(c Case) Case {
	return c.with(func(c *Case) {
		contig := *c.Samples[0].Contig
		contig.Region.NotITS = "the LSU"
		c.Samples[0].Contig = &contig
	})
}

func unlocated(c Case) Case {
	return c.with(func(c *Case) {
		contig := *c.Samples[0].Contig
		contig.Region = seqqc.Region{}
		c.Samples[0].Contig = &contig
	})
}

// of58S gives the sequence a 5.8S that tells a kingdom.
func of58S(kingdom string, c Case) Case {
	return c.with(func(c *Case) {
		contig := *c.Samples[0].Contig
		contig.Region.Kingdom, contig.Region.KingdomMargin = kingdom, 20
		c.Samples[0].Contig = &contig
	})
}

func disputed(taxon string) *seqqc.Match {
	return changed(matched(taxon, 98), func(m *seqqc.Match) {
		for i := range m.Votes {
			v := &m.Votes[i]
			if v.Rank >= refs.Genus {
				v.For, v.Of, v.Supported = 1, 2, false
			}
		}
		m.Supported, m.Taxon = refs.Family, m.Lineage.Family
		m.Lineage = m.Lineage.Upto(refs.Family)
		m.Disagree = true
	})
}

// loneBefore is a window of one record, at 98.9 %, with another taxon behind it.
func loneBefore(taxon, next string, identity float64) *seqqc.Match {
	return changed(offered(matched(taxon, 98.9), "Russula", identity), func(m *seqqc.Match) {
		m.Hits = []seqqc.Hit{m.Hits[0], hit(next, identity)}
		m.InWindow = 1
		m.Flags = []seqqc.Flag{seqqc.SingleReference}
		for i := range m.Votes {
			if m.Votes[i].For > 0 {
				m.Votes[i].For, m.Votes[i].Of, m.Votes[i].Records = 1, 1, 1
			}
		}
	})
}

// disputedFamily is a window of two families of an order.
func disputedFamily() *seqqc.Match {
	return changed(disputed("Lactarius"), func(m *seqqc.Match) {
		v := &m.Votes[int(refs.Family)-1]
		v.For, v.Of, v.Supported = 1, 2, false
		m.Supported, m.Taxon, m.Lineage = refs.Order, m.Lineage.Order, m.Lineage.Upto(refs.Order)
	})
}

func unnamed() *seqqc.Match {
	return changed(matched("Russula", 98), func(m *seqqc.Match) {
		for i := range m.Hits {
			m.Hits[i].Name = refs.Name{Verbatim: "uncultured fungus", Unnamed: true}
			m.Hits[i].Lineage = refs.Lineage{}
		}
		for i := range m.Votes {
			m.Votes[i] = seqqc.Vote{Rank: m.Votes[i].Rank, Threshold: m.Votes[i].Threshold, Reached: m.Votes[i].Reached}
		}
		m.Supported, m.Taxon, m.Lineage, m.Unnamed = refs.NoRank, "", refs.Lineage{}, true
	})
}

func orphan() Field { return field("Orphanus") }

func rows() []row {
	fungi := field("Fungi")
	noName := Field{}
	wrong := Field{Name: refs.Name{Verbatim: "Rusula emetca", Genus: "Rusula", Epithet: "emetca", Rank: refs.Species}}
	return []row{
		{"blank-untested", "fires", "no sample", blank(none())},
		{"blank-untested", "fires", "a file that could not be opened", blank(none()).with(func(c *Case) {
			c.Samples, c.Unused = []seqqc.SampleResult{{ReadFiles: []string{"a.ab1"}}}, []string{"a.ab1: the file ends too early"}
		})},
		{"blank-untested", "silent", "a read without clear bases", blank(kept(none(), 0))},
		{"blank-untested", "silent", "a sequence", blank(agreed())},
		{"blank-untested", "silent", "a specimen", none()},
		{"blank-silent", "fires", "a read without clear bases", blank(kept(none(), 0))},
		{"blank-silent", "fires", "two primers joined", blank(kept(none(), 50))},
		{"blank-silent", "silent", "a longer stretch", blank(kept(none(), 51))},
		{"blank-silent", "silent", "a sequence", blank(agreed())},
		{"blank-silent", "silent", "a specimen", kept(none(), 0)},
		{"blank-silent", "blind", "no sample", blank(none())},
		{"blank-trace", "fires", "77 clear bases", blank(kept(none(), 77))},
		{"blank-trace", "fires", "a sequence too short to be one", blank(poor())},
		{"blank-trace", "silent", "two primers joined", blank(kept(none(), 50))},
		{"blank-trace", "silent", "a sequence", blank(kept(agreed(), 600))},
		{"blank-trace", "silent", "a specimen", poor()},
		{"blank-trace", "blind", "no sample", blank(none())},
		{"blank-signal", "fires", "a sequence", blank(agreed())},
		{"blank-signal", "silent", "no sequence", blank(none())},
		{"blank-signal", "silent", "a specimen", agreed()},
		{"blank-signal", "blind", "too poor to be told from noise", blank(poor())},
		{"positive-control", "fires", "right", positive(agreed())},
		{"positive-control", "fires", "wrong", positive(conflictCase())},
		{"positive-control", "silent", "a specimen", agreed()},
		{"no-sequence", "fires", "no sample", none()},
		{"no-sequence", "silent", "a poor one", poor()},
		{"no-sequence", "silent", "a good one", agreed()},
		{"no-sequence", "silent", "a blank", blank(none())},
		{"poor-sequence", "fires", "60 bases", poor()},
		{"poor-sequence", "silent", "a good one", agreed()},
		{"poor-sequence", "silent", "a blank", blank(poor())},
		{"poor-sequence", "blind", "none at all", none()},
		{"samples-disagree", "fires", "80 % identical", twoSamples(80, nil, nil)},
		{"samples-disagree", "fires", "other genera", twoSamples(0, matched("Russula", 98), matched("Lactarius", 98))},
		{"samples-disagree", "silent", "alike", twoSamples(99.9, matched("Russula", 98), matched("Russula", 98))},
		{"samples-disagree", "blind", "not compared, one without match", twoSamples(0, matched("Russula", 98), nil)},
		{"samples-disagree", "blind", "one sample", agreed()},
		{"not-its", "fires", "LSU", notITS(agreed())},
		{"not-its", "fires", "nothing located and nothing near", unlocated(specimen(field("Russula"), matched("Russula", 75)))},
		{"not-its", "fires", "nothing located, nothing to compare", unlocated(specimen(field("Russula"), &seqqc.Match{}))},
		{"not-its", "silent", "nothing located, but a reference is near", unlocated(agreed())},
		{"not-its", "silent", "nothing located, but one falls short of the gate",
			unlocated(specimen(field("Russula"), &seqqc.Match{Apart: []seqqc.Hit{hit("Russula", 99)}}))},
		{"not-its", "silent", "located, and nothing near", specimen(field("Russula"), &seqqc.Match{})},
		{"not-its", "blind", "nothing located, not compared", unlocated(specimen(field("Russula"), nil))},
		{"not-its", "silent", "ITS", agreed()},
		{"not-its", "blind", "no sequence", none()},
		{"no-match", "fires", "not compared", specimen(field("Russula"), nil)},
		{"no-match", "fires", "nothing passes", specimen(field("Russula"), &seqqc.Match{Apart: []seqqc.Hit{hit("Russula", 99)}})},
		{"no-match", "silent", "a hit", agreed()},
		{"no-match", "blind", "no sequence", none()},
		{"too-distant", "fires", "75 %", specimen(field("Russula"), matched("Russula", 75))},
		{"too-distant", "silent", "98 %", agreed()},
		{"too-distant", "blind", "no hit", specimen(field("Russula"), &seqqc.Match{})},
		{"references-disagree", "fires", "within the family", specimen(field("Russula"), disputed("Lactarius"))},
		{"references-disagree", "silent", "they agree", agreed()},
		{"references-disagree", "fires", "one alone, and the next is of the field genus", specimen(field("Russula"), loneBefore("Lactarius", "Russula", 90))},
		{"references-disagree", "silent", "the next is no nearer than an order", specimen(field("Russula"), loneBefore("Lactarius", "Russula", 88))},
		{"references-disagree", "silent", "the next is of its genus too", specimen(field("Russula"), loneBefore("Lactarius", "Lactarius", 90))},
		{"references-disagree", "silent", "one alone of another family", specimen(field("Amanita"), loneBefore("Lactarius", "Amanita", 90))},
		{"conflict", "silent", "one alone, and the next is of the field genus", specimen(field("Russula"), loneBefore("Lactarius", "Russula", 90))},
		{"references-disagree", "silent", "whichever is right, the field name is not", specimen(field("Amanita"), disputed("Lactarius"))},
		{"references-disagree", "blind", "no match", specimen(field("Russula"), nil)},
		{"references-unnamed", "fires", "uncultured only", specimen(field("Russula"), unnamed())},
		{"references-unnamed", "silent", "named", agreed()},
		{"references-unnamed", "blind", "no match", specimen(field("Russula"), nil)},
		{"no-field-name", "fires", "nothing written", specimen(noName, matched("Russula", 98))},
		{"no-field-name", "fires", "'unknown fungus' written", specimen(Field{Name: refs.Name{Verbatim: "unknown fungus", Unnamed: true}}, nil)},
		{"no-field-name", "silent", "a name", agreed()},
		{"no-field-name", "silent", "a name in no list", specimen(wrong, nil)},
		{"no-field-name", "silent", "a control", positive(specimen(noName, matched("Russula", 98)))},
		{"field-name-unknown", "fires", "misspelt", specimen(wrong, matched("Russula", 98))},
		{"field-name-unknown", "fires", "not understood", specimen(Field{Name: refs.Name{Verbatim: "big red one"}}, nil)},
		{"field-name-unknown", "silent", "a known name", agreed()},
		{"field-name-unknown", "blind", "nothing written", specimen(noName, nil)},
		{"non-fungal", "fires", "pine for a mushroom", specimen(field("Russula"), matched("Pinus", 98))},
		{"non-fungal", "fires", "pine for an unplaced name", specimen(orphan(), matched("Pinus", 98))},
		{"non-fungal", "fires", "nothing near, the 5.8S of a plant", of58S("Plantae", specimen(field("Russula"), &seqqc.Match{}))},
		{"non-fungal", "fires", "nothing near enough, the 5.8S of a plant", of58S("Plantae", specimen(field("Russula"), matched("Russula", 75)))},
		{"non-fungal", "silent", "nothing near, the 5.8S of a fungus", of58S("Fungi", specimen(field("Russula"), &seqqc.Match{}))},
		{"non-fungal", "silent", "the 5.8S of a plant, but a fungus is near", of58S("Plantae", agreed())},
		{"non-fungal", "silent", "a foreign 5.8S for a slime mould", of58S("Plantae", specimen(field("Physarum"), &seqqc.Match{}))},
		{"no-match", "silent", "told by the 5.8S", of58S("Plantae", specimen(field("Russula"), &seqqc.Match{}))},
		{"too-distant", "silent", "told by the 5.8S", of58S("Plantae", specimen(field("Russula"), matched("Russula", 75)))},
		{"non-fungal", "silent", "a fungus", agreed()},
		{"non-fungal", "silent", "slime mould for slime mould", specimen(field("Physarum"), matched("Physarum", 98))},
		{"non-fungal", "silent", "pine for a slime mould", specimen(field("Physarum"), matched("Pinus", 98))},
		{"non-fungal", "blind", "kingdom not known", specimen(field("Russula"), matched("Orphanus", 98))},
		{"non-fungal", "blind", "no match", specimen(field("Russula"), nil)},
		{"overgrowth", "fires", "Penicillium for Russula", specimen(field("Russula"), matched("Penicillium", 99))},
		{"overgrowth", "fires", "Trichoderma for 'Fungi'", specimen(fungi, matched("Trichoderma", 99))},
		{"overgrowth", "fires", "an order of moulds for Russula", specimen(field("Russula"), matched("Penicillium", 85))},
		{"overgrowth", "fires", "a mould of unknown place for an order", specimen(field("Russulales"), matched("Mucedo", 99))},
		{"overgrowth", "silent", "an ordinary fungus", conflictCase()},
		{"overgrowth", "silent", "Trichoderma for its family", specimen(field("Hypocreaceae"), matched("Trichoderma", 99))},
		{"overgrowth", "silent", "the field name is a mould", specimen(field("Penicillium"), matched("Trichoderma", 99))},
		{"overgrowth", "silent", "the same mould", specimen(field("Penicillium"), matched("Penicillium", 99))},
		{"overgrowth", "blind", "habit not known", specimen(field("Russula"), matched("Orphanus", 99))},
		{"overgrowth", "blind", "a mould of unknown place for a family", specimen(field("Russulaceae"), matched("Mucedo", 99))},
		{"overgrowth", "blind", "no field name", specimen(noName, matched("Penicillium", 99))},
		{"parasite-host", "fires", "Lactarius for Hypomyces", specimen(field("Hypomyces"), matched("Lactarius", 99))},
		{"parasite-host", "silent", "Hypomyces itself", specimen(field("Hypomyces"), matched("Hypomyces", 99))},
		{"parasite-host", "silent", "another fungus-on-fungus", specimen(field("Hypomyces"), matched("Trichoderma", 99))},
		{"parasite-host", "silent", "a pine", specimen(field("Hypomyces"), matched("Pinus", 99))},
		{"parasite-host", "silent", "no parasite", conflictCase()},
		{"parasite-host", "blind", "the DNA's habit not known", specimen(field("Hypomyces"), matched("Orphanus", 99))},
		{"parasite-host", "blind", "no match", specimen(field("Hypomyces"), nil)},
		{"same-genus", "fires", "the species", agreed()},
		{"same-genus", "fires", "the genus, lineage not known", specimen(orphan(), matched("Orphanus", 98))},
		{"same-genus", "silent", "another genus", conflictCase()},
		{"same-genus", "blind", "no match", specimen(field("Russula"), nil)},
		{"same-genus", "blind", "no field name", specimen(noName, matched("Russula", 98))},
		{"same-genus", "blind", "the genus is not supported", specimen(field("Russula"), matched("Russula", 94.2))},
		{"dna-inside", "fires", "a genus of the family", specimen(field("Russulaceae"), matched("Russula", 98))},
		{"dna-inside", "fires", "a family of the order", specimen(field("Russulales"), matched("Russula", 90))},
		{"dna-inside", "silent", "another family", specimen(field("Amanitaceae"), matched("Russula", 98))},
		{"dna-inside", "silent", "too broad", specimen(fungi, matched("Russula", 82))},
		{"dna-inside", "blind", "family of the DNA not known", specimen(field("Russulaceae"), matched("Orphanus", 98))},
		{"dna-inside", "blind", "no match", specimen(field("Russulaceae"), nil)},
		{"field-inside", "fires", "the family", specimen(field("Russula"), matched("Lactarius", 90))},
		{"field-inside", "fires", "the same family", specimen(field("Russulaceae"), matched("Lactarius", 90))},
		{"field-inside", "silent", "another family", specimen(field("Amanita"), matched("Lactarius", 90))},
		{"field-inside", "blind", "the field name's family not known", specimen(orphan(), matched("Lactarius", 90))},
		{"field-inside", "blind", "no match", specimen(field("Russula"), nil)},
		{"nearest-is-field-genus", "fires", "90 %", specimen(field("Russula"), matched("Russula", 90))},
		{"nearest-is-field-genus", "fires", "83 %", specimen(field("Russula"), matched("Russula", 83))},
		{"nearest-is-field-genus", "silent", "another genus", specimen(field("Russula"), matched("Lactarius", 90))},
		{"nearest-is-field-genus", "silent", "the genus is supported", agreed()},
		{"nearest-is-field-genus", "blind", "no other genus to be nearer",
			specimen(field("Russula"), changed(matched("Russula", 83), func(m *seqqc.Match) { m.NextGenus, m.OtherGenera = nil, 0 }))},
		{"nearest-is-field-genus", "blind", "75 % tells nothing", specimen(field("Russula"), matched("Russula", 75))},
		{"too-broad", "fires", "an order", specimen(field("Russula"), matched("Lactarius", 83))},
		{"too-broad", "silent", "a family", specimen(field("Russula"), matched("Lactarius", 90))},
		{"too-broad", "silent", "another order", specimen(field("Amanita"), matched("Lactarius", 83))},
		{"too-broad", "blind", "the order of the field name not known", specimen(orphan(), matched("Lactarius", 83))},
		{"conflict", "fires", "another genus", conflictCase()},
		{"conflict", "fires", "another family of 90 %, the field genus absent", specimen(field("Russula"), matched("Amanita", 90))},
		{"conflict", "fires", "another genus of 97 %, the field genus absent", specimen(field("Russula"), matched("Lactarius", 97))},
		{"conflict", "silent", "the same genus", agreed()},
		{"conflict", "blind", "the field genus absent, 96 %", specimen(field("Russula"), matched("Lactarius", 96))},
		{"conflict", "blind", "no match", specimen(field("Russula"), nil)},
		{"conflict", "blind", "lineage not known", specimen(orphan(), matched("Lactarius", 90))},
		{"field-genus-not-in-library", "fires", "96 %", specimen(field("Russula"), matched("Lactarius", 96))},
		{"field-genus-not-in-library", "fires", "another order of 83 %", specimen(field("Russula"), matched("Amanita", 83))},
		{"field-genus-not-in-library", "silent", "it is", conflictCase()},
		{"field-genus-not-in-library", "silent", "it agrees", agreed()},
		{"field-genus-not-in-library", "blind", "no match", specimen(field("Russula"), nil)},
		{"lineage-unknown", "fires", "the field name's", specimen(orphan(), matched("Lactarius", 90))},
		{"lineage-unknown", "fires", "the DNA's", specimen(field("Russulaceae"), matched("Orphanus", 98))},
		{"lineage-unknown", "fires", "the DNA's, and no rank is left", specimen(field("Russula"), matched("Orphanus", 90))},
		{"lineage-unknown", "silent", "they are known", agreed()},
		{"lineage-unknown", "silent", "two genera are apart without", specimen(orphan(), matched("Lactarius", 98))},
		{"lineage-unknown", "blind", "no match", specimen(orphan(), nil)},
		{"spelling", "fires", "a slip", agreed().with(func(c *Case) { c.Field.Name.Verbatim, c.Field.Name.Respelt = "Rusula emetica", true })},
		{"spelling", "silent", "none", agreed()},
		{"spelling", "blind", "no name", specimen(noName, nil)},
		{"second-allele", "fires", "read apart", twoCopies(agreed())},
		{"second-allele", "silent", "one copy", agreed()},
		{"second-allele", "blind", "no sequence", none()},
		{"minor-template", "fires", "a mould in a mushroom", withMinor(agreed(), matched("Penicillium", 99))},
		{"minor-template", "fires", "the field genus under a mould", withMinor(specimen(field("Russula"), matched("Penicillium", 99)), matched("Russula", 99))},
		{"minor-template", "fires", "another mushroom", withMinor(agreed(), matched("Amanita", 99))},
		{"minor-template", "fires", "without a name", withMinor(agreed(), nil)},
		{"minor-template", "silent", "one template", agreed()},
		{"minor-template", "blind", "no sequence", none()},
		{"reference-label", "fires", "a wrong label is nearest", mislabelledNearest("Amanita")},
		{"reference-label", "silent", "no label is doubted", agreed()},
		{"reference-label", "blind", "not compared", specimen(field("Russula"), nil)},
		{"chimera", "fires", "two parents", chimeric(seqqc.JointInRead)},
		{"chimera", "silent", "one organism", agreed()},
		{"chimera", "blind", "not compared", specimen(field("Russula"), nil)},
		{"traits", "fires", "milk in a Russula", seen(agreed(), "milk", "yes")},
		{"traits", "fires", "the DNA's genus alone is in the table", seen(specimen(field("Orphanus"), matched("Russula", 99)), "milk", "no")},
		{"traits", "fires", "a Russula on wood", seen(agreed(), "grows_on", "wood")},
		{"traits", "silent", "no more than that it grew on the ground", seen(agreed(), "grows_on", "soil")},
		{"traits", "silent", "not understood", seen(agreed(), "milk", "")},
		{"traits", "silent", "genera that are in no table", seen(specimen(orphan(), matched("Penicillium", 99)), "milk", "no")},
		{"traits", "blind", "nothing seen", agreed()},
		{"sequence-flags", "fires", "short", agreed().with(func(c *Case) { c.Samples[0].Contig = contigOf(200) })},
		{"sequence-flags", "fires", "of the reads", agreed().with(func(c *Case) { c.ReadFlags = []seqqc.Flag{seqqc.MixedTemplate} })},
		{"sequence-flags", "silent", "long and clean", agreed()},
		{"sequence-flags", "blind", "no sequence", none()},
	}
}

func TestRuleRows(t *testing.T) {
	seen := map[string]map[string]bool{}
	for _, r := range append(rows(), nameRows()...) {
		t.Run(r.rule+"/"+r.does+"/"+r.what, func(t *testing.T) {
			got := findings(r.c, r.rule)
			if r.does == "fires" {
				require.Len(t, got, 1)
			} else {
				require.Empty(t, got)
			}
		})
		if seen[r.rule] == nil {
			seen[r.rule] = map[string]bool{}
		}
		seen[r.rule][r.does] = true
	}
	// What these rules look for is that something is missing, so that there is
	// no case in which they cannot tell; positive-control answers in each.
	neverBlind := map[string]bool{"blank-untested": true, "no-sequence": true, "no-field-name": true, "positive-control": true}
	for _, r := range Rules {
		require.True(t, seen[r.ID]["fires"], r.ID)
		require.True(t, seen[r.ID]["silent"], r.ID)
		require.Equal(t, !neverBlind[r.ID], seen[r.ID]["blind"], r.ID)
	}
}

// TestVerdictRows holds what the coordinator sees for one case of each verdict
// and reason code.
func TestVerdictRows(t *testing.T) {
	seenKind, seenCode := map[seqqc.VerdictKind]bool{}, map[seqqc.ReasonCode]bool{}
	for _, r := range []struct {
		what      string
		c         Case
		kind      seqqc.VerdictKind
		code      seqqc.ReasonCode
		agree, at refs.Rank
		flags     string
		attention bool
	}{
		{"species", agreed(), seqqc.Agrees, "", refs.Species, refs.NoRank, "", false},
		{"genus", specimen(field("Russula emetica"), matched("Russula", 98)), seqqc.Agrees, "", refs.Genus, refs.NoRank, "", false},
		{"aff. is not the species", agreed().with(func(c *Case) { c.Field.Name.Doubt = refs.DoubtAff }),
			seqqc.Agrees, "", refs.Genus, refs.NoRank, "", false},
		{"cf. may be", agreed().with(func(c *Case) { c.Field.Name.Doubt = refs.DoubtCf }),
			seqqc.Agrees, "", refs.Species, refs.NoRank, "", false},
		{"another species, the field's not in the library", specimen(field("Russula nobilis"), matched("Russula emetica", 99.8)),
			seqqc.Agrees, "", refs.Genus, refs.NoRank, "", false},
		{"another species, the field's is further", otherSpecies(98.7), seqqc.Agrees, "", refs.Genus, refs.NoRank, "species_differs", true},
		{"misspelt", agreed().with(func(c *Case) { c.Field.Name.Verbatim, c.Field.Name.Respelt = "Rusula emetica", true }),
			seqqc.Agrees, "", refs.Species, refs.NoRank, "spelling_assumed", false},
		{"refines", specimen(field("Russulaceae"), matched("Russula emetica", 99.8)), seqqc.Refines, "", 0, 0, "", false},
		{"consistent", specimen(field("Russula"), matched("Lactarius", 90)), seqqc.Consistent, "", 0, 0, "", false},
		{"nearest", specimen(field("Russula"), matched("Russula", 85)), seqqc.Consistent, "", 0, 0, "nearest_is_field_genus", false},
		{"conflict", conflictCase(), seqqc.Conflict, "", 0, refs.Genus, "", true},
		{"conflict, genus absent", specimen(field("Russula"), matched("Amanita", 96)), seqqc.Conflict, "", 0, refs.Order, "field_genus_absent", true},
		{"host", specimen(field("Hypomyces"), offered(matched("Lactarius", 99), "Hypomyces", 82)), seqqc.Conflict, "", 0, refs.Phylum, "host_parasite", true},
		{"overgrowth", specimen(field("Russula"), matched("Penicillium", 99)), seqqc.Overgrowth, "", 0, refs.Phylum, "", true},
		{"overgrowth before refines", specimen(field("Ascomycota"), matched("Penicillium", 99)), seqqc.Overgrowth, "", 0, 0, "", true},
		{"refines to a mould", specimen(field("Aspergillaceae"), matched("Penicillium", 99)), seqqc.Refines, "", 0, 0, "", false},
		{"non fungal", specimen(field("Russula"), matched("Pinus", 99)), seqqc.NonFungal, "", 0, refs.Kingdom, "", true},
		{"slime mould", specimen(field("Physarum"), matched("Physarum", 99)), seqqc.Agrees, "", refs.Genus, 0, "", false},
		{"blank", blank(kept(none(), 0)), seqqc.Undetermined, seqqc.Control, 0, 0, "", false},
		{"blank with signal", blank(agreed()), seqqc.Undetermined, seqqc.Control, 0, 0, "control_signal", true},
		{"positive", positive(agreed()), seqqc.Undetermined, seqqc.Control, 0, 0, "", false},
		{"wrong positive", positive(conflictCase()), seqqc.Undetermined, seqqc.Control, 0, 0, "control_signal", true},
		{"silent positive", positive(none()), seqqc.Undetermined, seqqc.Control, 0, 0, "", true},
		{"nameless positive", positive(specimen(Field{}, matched("Russula", 98))), seqqc.Undetermined, seqqc.Control, 0, 0, "", true},
		{"none", none(), seqqc.Undetermined, seqqc.NoSequence, 0, 0, "", true},
		{"poor", poor(), seqqc.Undetermined, seqqc.PoorSequence, 0, 0, "", true},
		{"LSU", notITS(agreed()), seqqc.Undetermined, seqqc.NotITS, 0, 0, "", true},
		{"nothing like ITS", unlocated(specimen(field("Russula"), &seqqc.Match{})), seqqc.Undetermined, seqqc.NotITS, 0, 0, "", true},
		{"foreign 5.8S", of58S("Plantae", specimen(field("Russula"), &seqqc.Match{})), seqqc.NonFungal, "", 0, refs.Kingdom, "", true},
		{"chimera", chimeric(seqqc.JointOfReads), seqqc.Undetermined, seqqc.PoorSequence, refs.NoRank, 0, "chimera_suspected", true},
		{"samples", twoSamples(80, matched("Russula", 98), nil), seqqc.Undetermined, seqqc.SamplesDisagree, 0, 0, "", true},
		{"no match", specimen(field("Russula"), &seqqc.Match{}), seqqc.Undetermined, seqqc.NoMatch, 0, 0, "", true},
		{"nothing near", specimen(field("Russula"), &seqqc.Match{ListFromPct: 75}), seqqc.Undetermined, seqqc.TooDistant, 0, 0, "", true},
		{"75 %", specimen(field("Russula"), matched("Russula", 75)), seqqc.Undetermined, seqqc.TooDistant, 0, 0, "", true},
		{"an order", specimen(field("Russula"), matched("Lactarius", 83)), seqqc.Undetermined, seqqc.TooDistant, 0, 0, "", true},
		{"split", specimen(field("Russula"), disputed("Lactarius")), seqqc.Undetermined, seqqc.ReferencesDisagree, 0, 0, "", true},
		{"one alone", specimen(field("Russula"), loneBefore("Lactarius", "Russula", 90)), seqqc.Undetermined, seqqc.ReferencesDisagree, 0, 0, "single_reference", true},
		{"split elsewhere", specimen(field("Amanita"), disputed("Lactarius")), seqqc.Conflict, "", 0, refs.Order, "field_genus_absent", true},
		{"unnamed", specimen(field("Russula"), unnamed()), seqqc.Undetermined, seqqc.ReferencesUnnamed, 0, 0, "", true},
		{"no lineage", specimen(orphan(), matched("Lactarius", 90)), seqqc.Undetermined, seqqc.LineageUnknown, 0, 0, "", true},
		{"not in library", specimen(field("Russula"), matched("Lactarius", 96)), seqqc.Undetermined, seqqc.FieldGenusNotInLibrary, 0, refs.Genus, "", true},
		{"no name", specimen(Field{}, matched("Lactarius", 96)), seqqc.Undetermined, seqqc.NoFieldName, 0, 0, "", true},
		{"odd name", specimen(Field{Name: refs.Name{Verbatim: "big red one"}}, matched("Lactarius", 96)),
			seqqc.Undetermined, seqqc.FieldNameUnknown, 0, 0, "", true},
	} {
		t.Run(r.what, func(t *testing.T) {
			v := Judge(r.c, Defaults())
			require.Equal(t, r.kind, v.Kind, v.Reason)
			require.Equal(t, r.code, v.ReasonCode, v.Reason)
			require.Equal(t, r.agree, v.AgreeRank)
			require.Equal(t, r.at, v.PartsAt)
			require.Equal(t, r.flags, seqqc.JoinFlags(v.Flags))
			require.Equal(t, r.attention, v.Attention)
			plainSentence(t, v.Reason)
			plainSentence(t, v.NextStep)
		})
		seenKind[r.kind], seenCode[r.code] = true, true
	}
	for _, k := range seqqc.VerdictKinds {
		require.Equal(t, k != seqqc.Renamed, seenKind[k], k)
	}
	for _, code := range []seqqc.ReasonCode{
		seqqc.NoSequence, seqqc.PoorSequence, seqqc.NotITS, seqqc.SamplesDisagree, seqqc.NoMatch, seqqc.TooDistant,
		seqqc.ReferencesDisagree, seqqc.ReferencesUnnamed, seqqc.LineageUnknown, seqqc.FieldGenusNotInLibrary,
		seqqc.NoFieldName, seqqc.FieldNameUnknown, seqqc.Control,
	} {
		require.True(t, seenCode[code], code)
	}
}

// otherSpecies is a voucher of Russula nobilis whose DNA is R. emetica at 99.8
// while the library has R. nobilis at the given identity.
func otherSpecies(identity float64) Case {
	m := offered(matched("Russula emetica", 99.8), "Russula", 99.8)
	own := hit("Russula nobilis", identity)
	m.Field.Species, m.Field.SpeciesRecords = &own, 1
	return specimen(field("Russula nobilis"), m)
}
