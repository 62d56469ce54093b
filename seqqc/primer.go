package seqqc

import "strings"

// Primer is a published primer, or a tail that carries one.
type Primer struct {
	Name    string
	Aliases []string
	// Seq runs 5' to 3' in NC-IUB codes; I is inosine, which pairs with any
	// base and is read as N.
	Seq       string
	Direction Direction
	// Inner is true where the site lies inside the common ITS amplicon: in the
	// 5.8S, or in the first bases of the LSU, before ITS4. Such a site is met
	// in nearly every ITS sequence and says nothing about where it ends.
	Inner  bool
	Source string
}

// The sources of the primer table.
const (
	White1990    = "White, Bruns, Lee & Taylor 1990, PCR Protocols: 315-322"
	Gardes1993   = "Gardes & Bruns 1993, Molecular Ecology 2: 113-118"
	Ihrmark2012  = "Ihrmark et al. 2012, FEMS Microbiology Ecology 82: 666-677"
	Vilgalys1990 = "Vilgalys & Hester 1990, Journal of Bacteriology 172: 4238-4246; LR0R from memory of later usage"
	commonTail   = "sequencing tail, common practice, no source"
)

// Primers are the primers known by name, forward first.
var Primers = []Primer{
	{Name: "ITS1", Seq: "TCCGTAGGTGAACCTGCGG", Direction: Forward, Source: White1990},
	{Name: "ITS1-F", Seq: "CTTGGTCATTTAGAGGAAGTAA", Direction: Forward, Source: Gardes1993},
	{Name: "ITS3", Seq: "GCATCGATGAAGAACGCAGC", Direction: Forward, Inner: true, Source: White1990},
	{Name: "ITS5", Seq: "GGAAGTAAAAGTCGTAACAAGG", Direction: Forward, Source: White1990},
	{Name: "gITS7", Seq: "GTGARTCATCGARTCTTTG", Direction: Forward, Inner: true, Source: Ihrmark2012},
	{Name: "fITS7", Seq: "GTGARTCATCGAATCTTTG", Direction: Forward, Inner: true, Source: Ihrmark2012},
	{Name: "fITS9", Seq: "GAACGCAGCRAAIIGYGA", Direction: Forward, Inner: true, Source: Ihrmark2012},
	{Name: "LR0R", Aliases: []string{"LROR"}, Seq: "ACCCGCTGAACTTAAGC", Direction: Forward, Inner: true, Source: Vilgalys1990},
	{Name: "ITS2", Seq: "GCTGCGTTCTTCATCGATGC", Direction: Reverse, Inner: true, Source: White1990},
	{Name: "ITS4", Seq: "TCCTCCGCTTATTGATATGC", Direction: Reverse, Source: White1990},
	{Name: "ITS4-B", Seq: "CAGGAGACTTGTACACGGTCCAG", Direction: Reverse, Source: Gardes1993},
	{Name: "LR3", Seq: "CCGTGTTTCAAGACGGG", Direction: Reverse, Source: Vilgalys1990},
	{Name: "LR5", Seq: "TCCTGAGGGAAACTTCG", Direction: Reverse, Source: Vilgalys1990},
}

// Tails are sequences added before a primer to serve the sequencing reaction.
// Both from memory.
var Tails = []Primer{
	{Name: "M13F", Aliases: []string{"M13 forward", "M13(-21)"}, Seq: "TGTAAAACGACGGCCAGT", Direction: Forward, Source: commonTail},
	{Name: "M13R", Aliases: []string{"M13 reverse", "M13rev"}, Seq: "CAGGAAACAGCTATGAC", Direction: Reverse, Source: commonTail},
}

// PrimerByName finds a primer or tail by name or alias. Only letters and
// digits count, in either case: ITS1-F, its1f and ITS1_F are one.
func PrimerByName(name string) (Primer, bool) {
	key := primerKey(name)
	if key == "" {
		return Primer{}, false
	}
	for _, list := range [][]Primer{Primers, Tails} {
		for _, p := range list {
			if primerKey(p.Name) == key {
				return p, true
			}
			for _, a := range p.Aliases {
				if primerKey(a) == key {
					return p, true
				}
			}
		}
	}
	return Primer{}, false
}

func primerKey(name string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'A' && r <= 'Z' {
			return r + 'a' - 'A'
		}
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return -1
	}, name)
}
