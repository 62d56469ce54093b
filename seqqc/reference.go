package seqqc

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"forayseq/refs"
)

// Figure writes a percentage for a sentence, with at most two decimals and
// rounded down: 99.597 must not read 99.6 where 99.6 decides.
func Figure(pct float64) string {
	return strconv.FormatFloat(math.Floor(pct*100+1e-6)/100, 'f', -1, 64)
}

// Standing is how the genus on the label of a reference lies to those of the
// references nearest to it, itself left out. Neighbours that are copies of one
// another, name and sequence, count once.
type Standing struct {
	// Genus is that of the label, Rank the one at which the neighbours were asked,
	// and Own the label's taxon there. Other is the one that the nearest
	// references of other taxa of the rank bear, empty where they do not agree
	// on one.
	Genus string    `json:"genus"`
	Rank  refs.Rank `json:"rank,omitempty"`
	Own   string    `json:"its_taxon,omitempty"`
	Other string    `json:"neighbours_taxon,omitempty"`
	// For counts the neighbours of Other that were needed, and OtherPct is the
	// identity in percent with the last of them.
	For      int     `json:"neighbours"`
	OtherPct float64 `json:"neighbours_identity_pct"`
	// Together counts the other references of Own that are as near: what one
	// study mislabels often comes together.
	Together int `json:"of_its_genus_as_near"`
	// OwnPct is the identity with the nearest reference of Own beside those,
	// 0 where the library has none that can be compared.
	OwnPct float64 `json:"its_genus_identity_pct"`
	// Doubtful is true where the label is more likely wrong than those of its
	// neighbours.
	Doubtful bool `json:"doubtful"`
}

// Says gives the evidence as a clause: "its 4 nearest references of another
// genus, down to 99.2 %, are Amanita, and the next Russula is at 78.1 %".
func (s Standing) Says() string {
	rank, own := refs.Genus, s.Genus
	if s.Rank != refs.NoRank && s.Rank < refs.Genus {
		rank, own = s.Rank, fmt.Sprintf("record of %s, the %s of %s,", s.Own, s.Rank, s.Genus)
	}
	text := fmt.Sprintf("its %d nearest references of another %s, down to %s %%, are %s, ", s.For, rank, Figure(s.OtherPct), s.Other)
	switch {
	case s.OwnPct == 0:
		text += fmt.Sprintf("and no other %s of the library can be aligned with it", strings.TrimSuffix(own, ","))
	case s.Together == 0:
		text += fmt.Sprintf("and the next %s is at %s %%", own, Figure(s.OwnPct))
	default:
		text += fmt.Sprintf("and beside %d that may be wrong with it the next %s is at %s %%", s.Together, own, Figure(s.OwnPct))
	}
	return text
}

// DoubtfulReference is a reference near a contig that was given no vote.
type DoubtfulReference struct {
	Record      int     `json:"record"`
	Reference   string  `json:"reference"`
	IdentityPct float64 `json:"identity_pct"` // with the contig
	Standing
}
