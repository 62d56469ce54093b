package verdict_test

import (
	"fmt"
	"strings"

	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/verdict"
)

// A match as package match would give it for a sequence that is Lactarius.
func lactarius() *seqqc.Match {
	l := refs.Lineage{Kingdom: "Fungi", Order: "Russulales", Family: "Russulaceae", Genus: "Lactarius"}
	h := seqqc.Hit{
		Rank: 1, Reference: "SYN7", Name: refs.Name{Genus: "Lactarius", Epithet: "deliciosus", Rank: refs.Species},
		Lineage: l, IdentityPct: 98.5, IdentityStrictPct: 98.5, CoveragePct: 100, Gate: seqqc.GatePass,
	}
	own := h
	own.IdentityPct = 84
	return &seqqc.Match{
		Hits: []seqqc.Hit{h}, InWindow: 1, Supported: refs.Genus, Taxon: "Lactarius", Lineage: l,
		Votes: []seqqc.Vote{{Rank: refs.Genus, Threshold: 94.3, Taxon: "Lactarius", For: 2, Of: 2, Records: 2, Reached: true, Supported: true}},
		Field: seqqc.FieldEvidence{GenusRecords: 40, GenusSpecies: 25, Genus: &own},
	}
}

func ExampleJudge() {
	c := verdict.Case{
		Voucher: "FC-0123",
		Kind:    seqqc.Specimen,
		Field: verdict.Field{
			Name:    refs.Name{Verbatim: "Russula sp.", Genus: "Russula", Rank: refs.Genus, Doubt: refs.DoubtSp},
			Lineage: refs.Lineage{Kingdom: "Fungi", Order: "Russulales", Family: "Russulaceae", Genus: "Russula"},
			Known:   true,
		},
		Samples: []seqqc.SampleResult{{
			Contig: &seqqc.Contig{
				Bases:  []byte(strings.Repeat("ACGTTGCA", 80)),
				Region: seqqc.Region{Located: true, ITS1: seqqc.Interval{End: 640}},
			},
			Match: lactarius(),
		}},
	}
	v := verdict.Judge(c, verdict.Defaults())
	fmt.Println(v.Kind, v.PartsAt, v.Attention)
	fmt.Println(v.Reason)
	fmt.Println(v.NextStep)
	// Output:
	// conflict genus true
	// The DNA is of Lactarius, the field name is Russula, and they part at the genus: 98.5 % identical to Lactarius deliciosus (SYN7), over 100 % of its barcode region; the library has 40 records of Russula in 25 species; a mix-up of tubes, labels or files would look the same.
	// Rule out a mix-up first (label, tube, well, file name and its neighbours); if there is none, look at the specimen again with Lactarius in mind.
}

func ExampleDecide() {
	v := verdict.Decide([]seqqc.Finding{
		{Question: seqqc.AskRelation, Rule: "same-genus", Verdict: seqqc.Agrees, AgreeRank: refs.Genus, Reason: "One genus."},
		{Question: seqqc.AskITS, Rule: "not-its", Verdict: seqqc.Undetermined, ReasonCode: seqqc.NotITS, Reason: "No ITS.", Attention: true},
	})
	fmt.Println(v.Kind, v.ReasonCode, len(v.Others))
	// Output: undetermined not_its 1
}

func ExampleChoose() {
	first := &seqqc.Contig{Bases: []byte(strings.Repeat("ACGT", 20))}   // a failed try
	second := &seqqc.Contig{Bases: []byte(strings.Repeat("ACGT", 150))} // the rerun
	fmt.Println(verdict.Choose([]seqqc.SampleResult{{Contig: first}, {Contig: second}}, verdict.Defaults()))
	// Output: 1
}

func ExampleUsable() {
	_, why := verdict.Usable(&seqqc.Contig{Bases: []byte("ACGTACGT")}, verdict.Defaults())
	fmt.Println(why)
	// Output: only 8 clear bases lie in the stretch to compare, and 150 are needed
}

func ExampleApply() {
	c := verdict.Case{Kind: seqqc.Blank, Chosen: -1, ReadsOpened: 2}
	for _, f := range verdict.Apply(c, verdict.Defaults()) {
		fmt.Println(f.Rule+":", f.Reason)
	}
	// Output: blank-silent: Pass: this blank control gave no usable sequence, as it should (2 reads looked at).
}

func ExampleExplain() {
	family := refs.Lineage{Kingdom: "Fungi", Order: "Russulales", Family: "Russulaceae", Genus: "Russula"}
	c := verdict.Case{
		Voucher: "FC-0123",
		Kind:    seqqc.Specimen,
		Field:   verdict.Field{Name: refs.Name{Verbatim: "Russula", Genus: "Russula", Rank: refs.Genus}, Lineage: family, Known: true},
		Samples: []seqqc.SampleResult{{
			Contig: &seqqc.Contig{
				Bases:  []byte(strings.Repeat("ACGTTGCA", 80)),
				Region: seqqc.Region{Located: true, ITS1: seqqc.Interval{End: 640}},
			},
			Match: lactarius(),
		}},
		// The label says Russula, but the specimen gave milk.
		Observed: []seqqc.Observation{{Trait: seqqc.TraitMilk, Written: "white", State: "yes"}},
	}
	p := verdict.Defaults()
	v := verdict.Explain(c, verdict.Judge(c, p), nil, p)
	for _, cause := range v.Causes[:2] {
		fmt.Printf("%.1f %s %s\n", cause.Weight, cause.Code, cause.Action)
	}
	fmt.Println(v.Causes[0].For[0])
	// Output:
	// 0.4 field_name look_again
	// -0.7 name_changed correct_sheet
	// The milk ("white") fits Lactarius and not Russula.
}
