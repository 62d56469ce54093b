package verdict

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs/fieldguide"
	"forayseq/seqqc"
)

// seen gives the case a trait that the sheet tells of.
func seen(c Case, trait fieldguide.Trait, state string) Case {
	return c.with(func(c *Case) {
		c.Observed = append(slices.Clone(c.Observed), seqqc.Observation{Trait: trait, Written: "as written: " + state, State: state})
	})
}

func explained(c Case, between ...seqqc.Between) seqqc.Verdict {
	v := Judge(c, Defaults())
	for _, b := range between {
		v.Flags = seqqc.MergeFlags(v.Flags, []seqqc.Flag{b.Flag})
	}
	return Explain(c, v, between, Defaults())
}

func causeOf(v seqqc.Verdict, code seqqc.CauseCode) *seqqc.Cause {
	for i := range v.Causes {
		if v.Causes[i].Code == code {
			return &v.Causes[i]
		}
	}
	return nil
}

// orderConflict is a conflict of two genera of other orders.
func orderConflict() Case {
	return specimen(field("Russula emetica"), offered(matched("Amanita", 98), "Russula", 80))
}

// TestConflictListsItsCauses: each of the causes that a coordinator has to weigh
// is there, with facts of the row.
func TestConflictListsItsCauses(t *testing.T) {
	v := explained(conflictCase())
	for _, code := range []seqqc.CauseCode{seqqc.CauseExchanged, seqqc.CauseContamination, seqqc.CauseReference, seqqc.CauseRenamed, seqqc.CauseFieldName} {
		cause := causeOf(v, code)
		require.NotNil(t, cause, code)
		require.NotEmpty(t, slices.Concat(cause.For, cause.Against), code)
	}
	require.Equal(t, seqqc.CauseExchanged, v.Causes[0].Code, "where nothing tells, a fault of the data goes first")
	require.Equal(t, Judge(conflictCase(), Defaults()).Reason, v.Reason, "the rule's own words stay")
	require.Contains(t, strings.Join(causeOf(v, seqqc.CauseReference).Against, " "), "2 independent references say Lactarius")
	require.Contains(t, strings.Join(causeOf(v, seqqc.CauseRenamed).For, " "), "of one family, Russulaceae")
	require.Contains(t, strings.Join(causeOf(v, seqqc.CauseFieldName).Against, " "), "A fault in the data would look the same")
}

// TestFirstCause holds which cause comes first, one fact changed at a time.
func TestFirstCause(t *testing.T) {
	two := func(c Case) Case {
		return c.with(func(c *Case) { c.SampleIdentityPct = 99.9 })
	}
	for _, r := range []struct {
		what  string
		v     seqqc.Verdict
		first seqqc.CauseCode
		act   seqqc.Action
		says  string // in the reason
	}{
		{"a conflict", explained(conflictCase()), seqqc.CauseExchanged, seqqc.ActCheckTubes, "a mix-up of tubes, labels or files would look the same"},
		{"traits of the DNA's genus", explained(seen(conflictCase(), "milk", "yes")), seqqc.CauseFieldName, seqqc.ActLookAgain,
			`; most likely the specimen was named wrongly in the field, and is Lactarius, because the milk ("as written: yes") fits Lactarius and not Russula.`},
		{"traits of the field genus", explained(seen(conflictCase(), "milk", "no")), seqqc.CauseExchanged, seqqc.ActCheckTubes, ""},
		{"traits of both", explained(seen(conflictCase(), "flesh", "brittle")), seqqc.CauseExchanged, seqqc.ActCheckTubes, ""},
		{"the epithet of the field name", explained(specimen(field("Russula emetica"), offered(matched("Lactarius emeticus", 99.8), "Russula", 90))),
			seqqc.CauseRenamed, seqqc.ActCorrectSheet, "has the epithet of the field name"},
		{"a doubtful reference", explained(conflictCase(), seqqc.Between{Flag: seqqc.ReferenceDoubtful}), seqqc.CauseReference, seqqc.ActCheckReference, "a reference bears a wrong name"},
		{"one reference", explained(flagged(orderConflict().with(func(c *Case) {
			m := c.match()
			for i := range m.Votes {
				m.Votes[i].Records = 1
			}
		}), seqqc.SingleReference)), seqqc.CauseExchanged, seqqc.ActCheckTubes, "a mix-up of tubes"},
		{"a wrong name of the family", explained(records(3, offered(matched("Lactarius", 98), "Russula", 90))), seqqc.CauseFieldName, seqqc.ActLookAgain,
			"most likely the specimen was named wrongly in the field, and is Lactarius, because Russula emetica and Lactarius are of one family, Russulaceae."},
		{"a genus of the family that the library lacks", explained(records(3, matched("Lactarius", 98))), seqqc.CauseFieldName, seqqc.ActLookAgain, "of one family, Russulaceae."},
		{"another family", explained(records(3, offered(matched("Stereum", 98), "Russula", 90))), seqqc.CauseExchanged, seqqc.ActCheckTubes, "a mix-up of tubes"},
		{"another phylum", explained(records(3, offered(matched("Peziza", 98), "Russula", 90))), seqqc.CauseExchanged, seqqc.ActCheckTubes, "a mix-up of tubes"},
		{"another phylum, and a genus that the library lacks", explained(records(3, matched("Peziza", 98))), seqqc.CauseExchanged, seqqc.ActCheckTubes, "a mix-up of tubes"},
		{"one reference, another phylum", explained(flagged(records(1, matched("Peziza", 98)), seqqc.SingleReference)), seqqc.CauseExchanged, seqqc.ActCheckTubes, "a mix-up of tubes"},
		{"one reference, another class", explained(flagged(records(1, matched("Tremella", 98)), seqqc.SingleReference)), seqqc.CauseExchanged, seqqc.ActCheckTubes, "a mix-up of tubes"},
		{"one reference, of the family", explained(flagged(records(1, matched("Lactarius", 98)), seqqc.SingleReference)), seqqc.CauseReference, seqqc.ActCheckReference, "one reference alone says so"},
		{"two samples", explained(two(seen(conflictCase(), "spore_surface", "gills"))), seqqc.CauseFieldName, seqqc.ActLookAgain, "two samples of the voucher hold the same DNA"},
		{"the field genus below", explained(withMinor(conflictCase(), matched("Russula emetica", 99.8))), seqqc.CauseTwoTemplates, seqqc.ActExtractAgain, "two organisms were in the tube"},
		{"the strands", explained(flagged(conflictCase(), seqqc.StrandsDisagree)), seqqc.CauseReadsCrossed, seqqc.ActCheckTubes, "reads of two vouchers"},
		{"an exchange", explained(conflictCase(), seqqc.Between{Pattern: seqqc.PatternExchange, Vouchers: []string{"V1", "V2"}, Expected: 0.001,
			Reason: "The DNA of each fits the label of the other.", NextStep: "Change the tubes back.", Flag: seqqc.SwapSuspected}),
			seqqc.CauseExchanged, seqqc.ActCheckTubes, "most likely tubes, labels or files of V1 and V2 were exchanged, because the DNA of each fits the label of the other."},
		{"half an exchange", explained(seen(conflictCase(), "flesh", "brittle"), seqqc.Between{Pattern: seqqc.PatternHalfExchange, Vouchers: []string{"V1", "V2"}, Expected: 0.02,
			Reason: "The DNA of V1 fits the label of V2, which gave no sequence, so that the two may have been exchanged.", NextStep: "Compare the two.", Flag: seqqc.SwapSuspected}),
			seqqc.CauseExchanged, seqqc.ActCheckTubes, "; possibly tubes, labels or files were exchanged, because the DNA of V1 fits the label of V2, which gave no sequence."},
		{"half an exchange, and traits of the DNA's genus", explained(seen(conflictCase(), "milk", "yes"), seqqc.Between{Pattern: seqqc.PatternHalfExchange,
			Vouchers: []string{"V1", "V2"}, Expected: 0.3, Reason: "They may have been exchanged.", NextStep: "Compare the two.", Flag: seqqc.SwapSuspected}),
			seqqc.CauseFieldName, seqqc.ActLookAgain, "named wrongly in the field"},
		{"half an exchange of another", explained(conflictCase(), seqqc.Between{Pattern: seqqc.PatternHalfExchange, Vouchers: []string{"V2", "V1"}, Expected: 0.001,
			Reason: "They may have been exchanged.", NextStep: "Compare the two.", Flag: seqqc.SwapSuspected}),
			seqqc.CauseExchanged, seqqc.ActCheckTubes, "a mix-up of tubes, labels or files would look the same"},
		{"a neighbour's DNA", explained(conflictCase(), seqqc.Between{Pattern: seqqc.PatternCarryOver, Vouchers: []string{"V1", "V2"}, Expected: 0.04,
			Reason: "The DNA of V2 seems to have got into its neighbour V1.", NextStep: "Extract and amplify V1 again, away from V2.", Flag: seqqc.CarryOver}),
			seqqc.CauseContamination, seqqc.ActExtractAgain, "because the DNA of V2 seems to have got into its neighbour V1."},
		{"a neighbour's DNA in one read", explained(flagged(conflictCase(), seqqc.StrandsDisagree), seqqc.Between{Pattern: seqqc.PatternCarryOver, Vouchers: []string{"V1", "V2"},
			Expected: 0.04, Read: "a.ab1", Reason: "The DNA of V2 seems to have got into the read a.ab1 of its neighbour V1.", NextStep: "Leave the read a.ab1 out.", Flag: seqqc.CarryOver}),
			seqqc.CauseContamination, seqqc.ActSequenceAgain, "because the DNA of V2 seems to have got into the read a.ab1"},
		{"a control", explained(conflictCase(), seqqc.Between{Pattern: seqqc.PatternControl, Expected: 0.001, Reason: "The blank holds the same.", NextStep: "Repeat it.", Flag: seqqc.ControlSignal}),
			seqqc.CauseContamination, seqqc.ActExtractAgain, "because the blank holds the same."},
		{"a plate", explained(conflictCase(), seqqc.Between{Pattern: seqqc.PatternPlateMoved, Expected: 1e-6, Reason: "All by one well.", NextStep: "Lay the list beside it."}),
			seqqc.CausePlate, seqqc.ActCheckTubes, "the plate was shifted"},
		{"a host", explained(specimen(field("Hypomyces"), offered(matched("Lactarius", 99), "Hypomyces", 82))), seqqc.CauseHost, seqqc.ActExtractAgain, "a usual host of Hypomyces"},
		{"a mould", explained(specimen(field("Russula"), matched("Penicillium", 99))), seqqc.CauseGrowth, seqqc.ActExtractAgain, ""},
		{"no file", explained(none()), seqqc.CauseReadsMissing, seqqc.ActCheckTubes, ""},
		{"bad reads", explained(kept(none(), 0)), seqqc.CausePoorReads, seqqc.ActAmplifyAgain, ""},
		{"a short read", explained(poor()), seqqc.CausePoorReads, seqqc.ActSequenceAgain, ""},
		{"LSU", explained(notITS(agreed())), seqqc.CauseOtherLocus, seqqc.ActAmplifyAgain, ""},
		{"joined in the PCR", explained(chimeric(seqqc.JointInRead)), seqqc.CauseChimera, seqqc.ActAmplifyAgain, ""},
		{"joined of reads", explained(chimeric(seqqc.JointOfReads)), seqqc.CauseReadsCrossed, seqqc.ActCheckTubes, ""},
		{"samples", explained(twoSamples(80, matched("Russula", 98), nil)), seqqc.CauseExchanged, seqqc.ActExtractAgain, ""},
		{"references", explained(specimen(field("Russula"), disputed("Lactarius"))), seqqc.CauseReference, seqqc.ActCheckReference, ""},
		{"no name", explained(specimen(Field{}, matched("Lactarius", 96))), seqqc.CauseLabel, seqqc.ActCorrectSheet, ""},
		{"not in the library", explained(specimen(field("Russula"), matched("Lactarius", 96))), seqqc.CauseLibrary, seqqc.ActAddReferences, ""},
		{"a pine", explained(specimen(field("Russula"), matched("Pinus", 99))), seqqc.CauseForeignDNA, seqqc.ActExtractAgain, ""},
		{"another species", explained(otherSpecies(98.7)), seqqc.CauseFieldName, seqqc.ActLookAgain, ""},
		{"a blank with DNA", explained(blank(agreed())), seqqc.CauseContamination, seqqc.ActExtractAgain, ""},
		{"a wrong positive", explained(positive(conflictCase())), seqqc.CauseExchanged, seqqc.ActCheckTubes, ""},
		{"a silent positive", explained(positive(kept(none(), 0))), seqqc.CausePoorReads, seqqc.ActAmplifyAgain, ""},
	} {
		t.Run(r.what, func(t *testing.T) {
			require.NotEmpty(t, r.v.Causes)
			require.Equal(t, r.first, r.v.Causes[0].Code, "%+v", r.v.Causes)
			require.Equal(t, r.act, r.v.Causes[0].Action)
			require.Contains(t, r.v.Reason, r.says)
			require.Equal(t, r.v.NextStep, r.v.Causes[0].NextStep)
		})
	}
	require.Empty(t, explained(agreed()).Causes, "nothing needs attention")
}

// records gives a Russula with a match of so many independent records.
func records(n int, m *seqqc.Match) Case {
	for i := range m.Votes {
		if m.Votes[i].Taxon != "" {
			m.Votes[i].For, m.Votes[i].Of, m.Votes[i].Records = n, n, n
		}
	}
	return specimen(field("Russula emetica"), m)
}

// TestWrongNamesFollowDistance: the farther apart two names are, the less of the
// likeliness goes to a wrong name and the more to a fault of the data.
func TestWrongNamesFollowDistance(t *testing.T) {
	for _, isAbsent := range []bool{false, true} {
		last := math.Inf(1)
		for _, dna := range []string{"Lactarius", "Stereum", "Amanita", "Tremella", "Peziza"} {
			m := matched(dna, 98)
			if !isAbsent {
				m = offered(m, "Russula", 80)
			}
			v := explained(records(3, m))
			require.Equal(t, seqqc.Conflict, v.Kind)
			name := causeOf(v, seqqc.CauseFieldName).Weight
			margin := name - causeOf(v, seqqc.CauseExchanged).Weight
			require.Less(t, margin, last, dna)
			require.InDelta(t, margin, name-causeOf(v, seqqc.CauseContamination).Weight-1, 1e-9, "another tube's DNA is as far") // less the sign that is wanting
			last = margin
		}
	}
}

// TestCausesOfEveryCase: each row that needs attention has causes, the weights
// fall, and every line is a sentence.
func TestCausesOfEveryCase(t *testing.T) {
	const enough = 300 // of each rule: many cases say the same
	n, codes, rules := 0, map[seqqc.CauseCode]bool{}, map[string]int{}
	everyCase(func(name string, c Case) {
		v := Judge(c, Defaults())
		if rules[v.Rule]++; rules[v.Rule] > enough {
			return
		}
		x := Explain(c, v, nil, Defaults())
		if !v.Attention {
			if len(x.Causes) > 0 {
				t.Fatalf("%s: causes of a row that needs no attention", name)
			}
			return
		}
		n++
		if len(x.Causes) == 0 {
			t.Fatalf("%s: %s without a cause", name, v.Reason)
		}
		if len(x.Causes[0].For) == 0 && x.NextStep != v.NextStep {
			t.Fatalf("%s: nothing speaks for %s, which is not what the rule tells", name, x.Causes[0].Code)
		}
		last := x.Causes[0].Weight
		for _, cause := range x.Causes {
			codes[cause.Code] = true
			if cause.Weight > last || cause.Says == "" || cause.NextStep == "" {
				t.Fatalf("%s: %+v", name, cause)
			}
			last = cause.Weight
			for _, line := range slices.Concat(cause.For, cause.Against, []string{cause.Says, cause.NextStep}) {
				if !strings.HasSuffix(line, ".") || strings.HasSuffix(line, "..") || line[0] >= 'a' && line[0] <= 'z' {
					t.Fatalf("%s: %q is no sentence", name, line)
				}
			}
		}
		if x.NextStep != x.Causes[0].NextStep || x.Kind != v.Kind || x.ReasonCode != v.ReasonCode {
			t.Fatalf("%s: the verdict and its first cause differ", name)
		}
	})
	require.Greater(t, n, 2000)
	require.Greater(t, len(codes), 10)
}

// TestEvidenceIsGrounded holds the tables to be complete: each cause is
// explained once, each clue has a ground and a cause of the table.
func TestEvidenceIsGrounded(t *testing.T) {
	codes := map[seqqc.CauseCode]bool{}
	for _, x := range Explanations {
		require.False(t, codes[x.Code], x.Code)
		codes[x.Code] = true
		require.NotNil(t, x.Says, x.Code)
	}
	require.Len(t, codes, 19)
	ids := map[string]bool{}
	for _, e := range Evidence {
		id := e.ID + "/" + string(e.Cause)
		require.False(t, ids[id], id)
		ids[id] = true
		require.True(t, codes[e.Cause], id)
		require.NotEmpty(t, e.Ground, id)
		require.NotZero(t, e.Weight, id)
	}
}

// TestTraitsNeverOverruleTheDNA: what was seen changes no verdict.
func TestTraitsNeverOverruleTheDNA(t *testing.T) {
	for _, c := range []Case{agreed(), conflictCase(), orderConflict(), none(), specimen(field("Russula"), matched("Penicillium", 99))} {
		plain := explained(c)
		for trait, state := range map[fieldguide.Trait]string{"milk": "yes", "spore_surface": "tubes", "ring": "no", "grows_on": "wood"} {
			v := explained(seen(c, trait, state))
			require.Equal(t, plain.Kind, v.Kind)
			require.Equal(t, plain.Flags, v.Flags)
			require.Equal(t, plain.Attention, v.Attention)
		}
	}
	v := explained(seen(conflictCase(), "grows_on", "wood"))
	require.Contains(t, findingOf(v, "traits"), `does not fit (where it grew ("as written: wood")) the field genus Russula`)
}

func TestAgainSaysWhichEnd(t *testing.T) {
	read := func(primer string, d seqqc.Direction, usable bool, kept int) *seqqc.Read {
		return &seqqc.Read{Primer: primer, Direction: d, Usable: usable, Kept: seqqc.Interval{End: kept}}
	}
	sheet := []seqqc.SampleResult{{Sample: seqqc.Sample{PrimerForward: "ITS1-F", PrimerReverse: "ITS4"}}}
	for _, r := range []struct {
		what   string
		c      Case
		act    seqqc.Action
		primer string
	}{
		{"the reverse failed", Case{Reads: []*seqqc.Read{read("ITS1-F", seqqc.Forward, true, 500), read("ITS4", seqqc.Reverse, false, 20)}}, seqqc.ActSequenceAgain, "ITS4"},
		{"the forward was never read", Case{Samples: sheet, Reads: []*seqqc.Read{read("ITS4", seqqc.Reverse, true, 120)}}, seqqc.ActSequenceAgain, "ITS1-F"},
		{"both short", Case{Reads: []*seqqc.Read{read("ITS1-F", seqqc.Forward, true, 60), read("ITS4", seqqc.Reverse, true, 60)}}, seqqc.ActSequenceAgain, ""},
		{"nothing clear", Case{Reads: []*seqqc.Read{read("ITS1-F", seqqc.Forward, false, 0)}}, seqqc.ActAmplifyAgain, ""},
	} {
		act, primer := again(r.c)
		require.Equal(t, r.act, act, r.what)
		require.Equal(t, r.primer, primer, r.what)
	}
}

// Endings of epithets change with the genus: International Code of Nomenclature
// for algae, fungi, and plants (Shenzhen Code, 2018), Art. 23.5.
func TestStemOfEpithets(t *testing.T) {
	for _, same := range [][]string{{"albus", "alba", "album"}, {"viridis", "viride"}, {"emetica", "emeticus", "emeticum"}} {
		for _, e := range same {
			require.Equal(t, stem(same[0]), stem(e))
		}
	}
	require.NotEqual(t, stem("rubra"), stem("alba"))
}

func TestHostsInVerdicts(t *testing.T) {
	for _, r := range []struct {
		what       string
		c          Case
		kind       seqqc.VerdictKind
		flag       bool
		says, next string
	}{
		{"its usual host", specimen(field("Russula"), matched("Hypomyces", 99)), seqqc.Overgrowth, true, "and Russula is one of its usual hosts: most likely what grew", "do not rename"},
		{"a family of hosts", specimen(field("Russulaceae"), matched("Hypomyces", 99)), seqqc.Overgrowth, true, "usual hosts", "do not rename"},
		{"an unusual host", specimen(field("Physarum"), matched("Hypomyces", 99)), seqqc.Overgrowth, false, "nor one of its usual hosts (Russulaceae, Boletaceae", "do not rename"},
		{"a mould keeps to none", specimen(field("Russula"), matched("Penicillium", 99)), seqqc.Overgrowth, false, "the field name may well be right", "do not rename"},
		{"the host's DNA", specimen(field("Hypomyces"), offered(matched("Lactarius", 99), "Hypomyces", 82)), seqqc.Conflict, true, "a usual host of Hypomyces", "parasite's own tissue"},
		{"an unusual host's DNA", specimen(field("Asterophora"), offered(matched("Amanita", 99), "Asterophora", 82)), seqqc.Conflict, false,
			"though not usually on this one but on Russula, Lactarius and Lactifluus", "mix-up"},
	} {
		v := explained(r.c)
		require.Equal(t, r.kind, v.Kind, r.what)
		require.Equal(t, r.flag, slices.Contains(v.Flags, seqqc.HostParasite), r.what)
		require.Contains(t, v.Reason, r.says, r.what)
		require.Contains(t, v.NextStep, r.next, r.what)
		plainSentence(t, v.Reason)
	}
}

func TestDoubtsReadWell(t *testing.T) {
	for _, r := range []struct {
		clauses []string
		said    string
	}{
		{nil, ""},
		{[]string{"a"}, "a"},
		{[]string{"a", "b"}, "a and b"},
		{[]string{"a", "b", "c"}, "a, b and c"},
		{[]string{"a, or so", "b"}, "a, or so, and b"},
		{[]string{"a, or so", "b", "c"}, "a, or so; b; and c"},
	} {
		require.Equal(t, r.said, joinClauses(r.clauses))
	}
	v := Judge(flagged(conflictCase(), seqqc.OneStrandOnly, seqqc.QualityMissing, seqqc.SingleReference), Defaults())
	require.Contains(t, v.Reason, "; the library has 3 records of Russula in 2 species; but its quality is low or not known, only one strand was read "+
		"and a single reference says so (and may be mislabelled); a mix-up of tubes, labels or files would look the same.")
	v = Judge(flagged(agreed(), seqqc.StrandsDisagree, seqqc.QualityMissing, seqqc.SingleReference), Defaults())
	require.Contains(t, v.Reason, "; but another read of this sample does not fit and seems to hold different DNA; it has bases without quality values, "+
		"so that misread ones do not show; and this rests on one reference alone.")
}
