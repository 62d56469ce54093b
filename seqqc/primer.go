package seqqc

import "strings"

// Primer is a published primer.
type Primer struct {
	Name      string
	Aliases   []string
	Seq       string // 5' to 3'; I is inosine, read as N
	Direction Direction
	Source    string
}

// White1990, Gardes1993, Ihrmark2012 and Vilgalys1990 are the sources of the
// primer table.
const (
	White1990    = "White, Bruns, Lee & Taylor 1990, PCR Protocols: 315-322"
	Gardes1993   = "Gardes & Bruns 1993, Molecular Ecology 2: 113-118"
	Ihrmark2012  = "Ihrmark et al. 2012, FEMS Microbiology Ecology 82: 666-677"
	Vilgalys1990 = "Vilgalys & Hester 1990, Journal of Bacteriology 172: 4238-4246; LR0R from memory of later usage"
	commonTail   = "sequencing tail, common practice, no source"
)

// Primers are the primers known by name, forward first.
var Primers = []Primer{
	{"ITS1", nil, "TCCGTAGGTGAACCTGCGG", Forward, White1990},
	{"ITS1-F", []string{"ITS1F"}, "CTTGGTCATTTAGAGGAAGTAA", Forward, Gardes1993},
	{"ITS3", nil, "GCATCGATGAAGAACGCAGC", Forward, White1990},
	{"ITS5", nil, "GGAAGTAAAAGTCGTAACAAGG", Forward, White1990},
	{"gITS7", nil, "GTGARTCATCGARTCTTTG", Forward, Ihrmark2012},
	{"fITS7", nil, "GTGARTCATCGAATCTTTG", Forward, Ihrmark2012},
	{"fITS9", nil, "GAACGCAGCRAAIIGYGA", Forward, Ihrmark2012},
	{"LR0R", []string{"LROR"}, "ACCCGCTGAACTTAAGC", Forward, Vilgalys1990},
	{"ITS2", nil, "GCTGCGTTCTTCATCGATGC", Reverse, White1990},
	{"ITS4", nil, "TCCTCCGCTTATTGATATGC", Reverse, White1990},
	{"ITS4-B", []string{"ITS4B"}, "CAGGAGACTTGTACACGGTCCAG", Reverse, Gardes1993},
	{"LR3", nil, "CCGTGTTTCAAGACGGG", Reverse, Vilgalys1990},
	{"LR5", nil, "TCCTGAGGGAAACTTCG", Reverse, Vilgalys1990},
}

// Tails are sequences added before a primer to serve the sequencing reaction.
// Both from memory.
var Tails = []Primer{
	{"M13F", []string{"M13-F", "M13 forward", "M13(-21)", "M13-21"}, "TGTAAAACGACGGCCAGT", Forward, commonTail},
	{"M13R", []string{"M13-R", "M13 reverse", "M13rev"}, "CAGGAAACAGCTATGAC", Reverse, commonTail},
}

// PrimerByName finds a primer or tail by name or alias, ignoring case,
// hyphens, underscores and spaces.
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
