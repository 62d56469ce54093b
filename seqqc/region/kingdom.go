package region

import "forayseq/align"

// profile is a 5.8S typical of a group, on the coding strand.
type profile struct {
	kingdom string // as package refs writes it
	seq     string
}

// profiles are from memory of what the members of a group have in common, with
// codes where they differ: mushrooms and cup fungi, yeasts, flowering plants,
// green algae, vertebrates, water moulds (Oomycota). Slime moulds are missing,
// for theirs are too unlike one another to be remembered as one.
var profiles = []profile{
	{"Fungi", "AACTTTCARCAAYGGATCTCTTGGYTCTSGCATCGATGAAGAACGCAGCGAAATGCGATAMGTAATGTGAATTGCAGAATTCAGTGAATCATCGAATCTTTGAACGCACMTTGCGCCCSYTGGTATTCCGRGGGGCATGCCTGTTYGAGYGTCATT"},
	{"Fungi", "AACTTTCAACAACGGATCTCTTGGTTCTCGCATCGATGAAGAACGCAGCGAAATGCGATACGTAATGTGAATTGCAGAATTCCGTGAATCATCGAATCTTTGAACGCACATTGCGCCCCTTGGTATTCCAGGGGGCATGCCTGTTTGAGCGTCATT"},
	{"Plantae", "GACTCTCGGCAACGGATATCTCGGCTCTCGCATCGATGAAGAACGTAGCGAAATGCGATACTTGGTGTGAATTGCAGAATCCCGTGAACCATCGAGTCTTTGAACGCAAGTTGCGCCCSAAGCCWTYTGGCCGAGGGCACGYCTGCCTGGGYGTCACR"},
	{"Plantae", "AACTCTCAACAACGGATATCTTGGCTCTCGCAACGATGAAGAACGCAGCGAAATGCGATACGTAGTGTGAATTGCAGAATTCCGTGAACCATCGAATCTTTGAACGCATATTGCGCTCGAGGCTTCGGCCGAGAGCATGTCTGCCTCAGCGTCGGTT"},
	{"Animalia", "GACTCTTAGCGGTGGATCACTCGGCTCGTGCGTCGATGAAGAACGCAGCTAGCTGCGAGAATTAATGTGAATTGCAGGACACATTGATCATCGACACTTCGAACGCACTTGCGGCCCCGGGTTCCTCCCGGGGCTACGCCTGTCTGAGCGTCGCTT"},
	{"Chromista", "AACTTTCAGCAGTGGATGTCTAGGCTCGCACATCGATGAAGAACGCTGCGAACTGCGATACGTAATGCGAATTGCAGGATTCAGTGAGTCATCGAAATTTTGAACGCATATTGCACTTCCGGGTTAGTCCTGGGAGTATGCCTGTATCAGTGTCCGT"},
}

// A kingdom is told from at least leastProfile bases of 5.8S, where no more than
// one base in mostUnlike differs from a profile of it and at least leastMargin
// bases more from those of every other. An archive record of a yellow-green
// alga (Vaucheria) has 15 differences from the nearest profile, that of
// Fungi, and 14 more from the next: hence the narrow circle.
const (
	leastProfile = 100
	mostUnlike   = 13
	leastMargin  = 7
)

// kingdomOf tells the kingdom from a 5.8S on the coding strand, whole or a part
// of it, with the margin over the next in differences; "" where it cannot tell.
func kingdomOf(r58s []uint8) (string, int) {
	if len(r58s) < leastProfile {
		return "", 0
	}
	codes := make([]byte, len(r58s))
	for i, set := range r58s {
		codes[i] = align.Code(set)
	}
	pattern, err := align.NewPattern(codes)
	if err != nil {
		return "", 0 // not reached: a set has a code
	}
	// All of the query, anywhere in the profile.
	reach := align.Reach{QEnd: len(codes), TStart: len58S}
	most := len(codes) / mostUnlike
	limit := most + 3*leastMargin
	differs := map[string]int{} // from the nearest profile of a kingdom
	for _, p := range profiles {
		d := pattern.Distance([]byte(p.seq), reach, limit)
		if old, ok := differs[p.kingdom]; !ok || d < old {
			differs[p.kingdom] = d
		}
	}
	kingdom, best, next := "", most+1, limit+1
	for _, p := range profiles {
		if d := differs[p.kingdom]; d < best {
			kingdom, best = p.kingdom, d
		}
	}
	for other, d := range differs {
		if other != kingdom {
			next = min(next, d)
		}
	}
	if kingdom == "" || next-best < leastMargin {
		return "", 0
	}
	return kingdom, next - best
}
