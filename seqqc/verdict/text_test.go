package verdict

import (
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/seqqc"
)

func TestOffers(t *testing.T) {
	require.Equal(t, "the library has no record of Russula", offers(specimen(field("Russula"), matched("Lactarius", 96))))
	require.Equal(t, "the library has 3 records of Russula in 2 species", offers(conflictCase()))
	require.Equal(t, "the library has 3 records of Russulaceae", offers(specimen(field("Russulaceae"), matched("Lactarius", 96))))
	require.Equal(t, "the library has 233 records of Russula in 90 species, none of them comparable with this sequence", offers(incomparable(233)))
	require.Equal(t, "the library has 1 record of Russula in 90 species, which cannot be compared with this sequence", offers(incomparable(1)))
}

// incomparable is a case whose field genus has records of which none passes the
// evidence gate.
func incomparable(records int) Case {
	return specimen(field("Russula"), changed(matched("Lactarius", 96), func(m *seqqc.Match) {
		m.Field = seqqc.FieldEvidence{GenusRecords: records, GenusSpecies: 90}
	}))
}

func TestRecordsThatCannotBeCompared(t *testing.T) {
	v := Judge(incomparable(233), Defaults())
	require.Equal(t, seqqc.FieldGenusNotInLibrary, v.ReasonCode)
	require.Contains(t, v.Reason, "none of them comparable")
	require.Contains(t, v.NextStep, "span the whole barcode region")
	plainSentence(t, v.Reason)
	absent := Judge(incomparable(233).with(func(c *Case) {
		c.Samples[0].Match = changed(matched("Lactarius", 98), func(m *seqqc.Match) { m.Field = c.match().Field })
	}), Defaults())
	require.Equal(t, seqqc.Conflict, absent.Kind)
	require.Equal(t, []seqqc.Flag{seqqc.FieldGenusAbsent}, absent.Flags)
	require.Contains(t, absent.Reason, "none of them comparable with this sequence")
	require.NotContains(t, Judge(specimen(field("Russula"), matched("Lactarius", 96)), Defaults()).NextStep, "span", "there are no records")
}

func TestNoSequenceSaysWhy(t *testing.T) {
	c := Case{Kind: seqqc.Specimen, Chosen: -1, Samples: []seqqc.SampleResult{{}}}
	said := func(files int, opened int, unused ...string) (string, string) {
		c.Samples[0].ReadFiles = make([]string, files)
		c.ReadsOpened, c.Unused = opened, unused
		v := Judge(c, Defaults())
		require.Equal(t, seqqc.NoSequence, v.ReasonCode)
		plainSentence(t, v.Reason)
		return v.Reason, v.NextStep
	}
	for _, r := range []struct {
		files, opened int
		unused        []string
		reason, next  string
	}{
		{0, 0, nil, "No read file belongs to this voucher.", "reads.csv"},
		{2, 2, nil, "None of its read files could be used.", "sequence it again"},
		{2, 2, []string{"25 bases were left", "the file holds no bases"},
			"None of its read files could be used (25 bases were left; the file holds no bases).", "sequence it again"},
		{1, 1, []string{"25 bases were left"}, "Its only read file could not be used (25 bases were left).", "sequence it again"},
		// A file that could not be opened is tied to nothing; its name fits.
		{0, 0, []string{"reads/x.ab1: the file ends too early."},
			"Its only read file could not be used (reads/x.ab1: the file ends too early).", "list of problems"},
		{1, 1, []string{"25 bases were left", "reads/x.ab1: the file ends too early"},
			"None of its read files could be used (25 bases were left; reads/x.ab1: the file ends too early).", "sequence it again"},
	} {
		reason, next := said(r.files, r.opened, r.unused...)
		require.Equal(t, r.reason, reason)
		require.Contains(t, next, r.next)
	}
}

// TestControlNeedsEvidence: a blank passes only where a read was opened and
// found silent.
func TestControlNeedsEvidence(t *testing.T) {
	for _, r := range []struct {
		what      string
		c         Case
		reason    string
		flags     string
		attention bool
	}{
		{"no read", blank(none()), "Not tested: no read of this blank control could be read.", "", true},
		{"a damaged read", blank(none()).with(func(c *Case) { c.Unused = []string{"reads/x.ab1: the file ends too early"} }),
			"Not tested: no read of this blank control could be read (reads/x.ab1: the file ends too early).", "", true},
		{"a silent read", blank(kept(none(), 0)), "Pass: this blank control gave no usable sequence, as it should (1 read looked at).", "", false},
		{"a short stretch", blank(kept(none(), 77)), "Doubtful: this blank control should hold no DNA, but one of its reads holds 77 clear bases in a row, " +
			"too few to compare and more than the 50 that primers alone can give.", "control_signal", true},
		{"no read of a positive", positive(none()), "Not tested: no read of this positive control could be read.", "", true},
		{"a silent positive", positive(kept(none(), 0)),
			"Fail: this positive control should have given a sequence, but gave none that is usable.", "", true},
	} {
		v := Judge(r.c, Defaults())
		require.Equal(t, seqqc.Control, v.ReasonCode, r.what)
		require.Equal(t, r.reason, v.Reason)
		require.Equal(t, r.flags, seqqc.JoinFlags(v.Flags), r.what)
		require.Equal(t, r.attention, v.Attention, r.what)
		require.Equal(t, !r.attention, v.NextStep == "Nothing to do.", r.what)
	}
}

// flagged puts flags on the contig.
func flagged(c Case, flags ...seqqc.Flag) Case {
	return c.with(func(c *Case) {
		contig := *c.Samples[0].Contig
		contig.Flags = flags
		c.Samples[0].Contig = &contig
	})
}

// TestNameStandsWithDoubts: a verdict that lets the name stand says what is
// doubtful about the evidence, and never that there is nothing to do.
func TestNameStandsWithDoubts(t *testing.T) {
	for what, c := range map[string]Case{
		"species":          agreed(),
		"genus":            specimen(field("Russula"), matched("Russula", 98)),
		"species differs":  otherSpecies(95),
		"refines":          specimen(field("Russulaceae"), matched("Russula", 98)),
		"consistent":       specimen(field("Russula"), matched("Lactarius", 90)),
		"nearest is field": specimen(field("Russula"), matched("Russula", 90)),
		"positive":         positive(agreed()),
	} {
		t.Run(what, func(t *testing.T) {
			plain := Judge(c, Defaults())
			for _, r := range []struct {
				flag            seqqc.Flag
				reason, next    string
				attentionNeeded bool
			}{
				{seqqc.StrandsDisagree, "seems to hold different DNA", "heck for swapped reads or tubes", true},
				{seqqc.ChimeraSuspected, "looks joined from two organisms", "what is said of the join", true},
				{seqqc.QualityMissing, "misread ones do not show", "look for the chromatograms", plain.Attention},
				{seqqc.QualityEstimated, "are estimated from the traces", "let a second read confirm it", plain.Attention},
				{seqqc.SingleReference, "rests on one reference alone", "one alone may be mislabelled", plain.Attention},
			} {
				require.NotContains(t, plain.Reason, r.reason)
				v := Judge(flagged(c, r.flag), Defaults())
				require.Equal(t, plain.Kind, v.Kind)
				require.Equal(t, plain.AgreeRank, v.AgreeRank)
				require.Contains(t, v.Reason, r.reason)
				require.Contains(t, " "+lowered(v.NextStep), r.next)
				require.NotContains(t, v.NextStep, "Nothing to do")
				require.Equal(t, r.attentionNeeded, v.Attention)
				plainSentence(t, v.Reason)
				plainSentence(t, v.NextStep)
			}
		})
	}
	all := Judge(flagged(agreed(), seqqc.StrandsDisagree, seqqc.QualityMissing, seqqc.SingleReference), Defaults())
	require.Equal(t, "Check for swapped reads or tubes before relying on this; look for the chromatograms (.ab1 or .scf files), "+
		"which tell how sure each base is; look for a second reference of Russula emetica, because one alone may be mislabelled.", all.NextStep)
}

func lowered(s string) string { return string(s[0]|0x20) + s[1:] }

// TestStandInQualitiesClaimNothing: errors predicted from qualities that nobody
// measured flag nothing; those estimated from the traces do.
func TestStandInQualitiesClaimNothing(t *testing.T) {
	bad := func(flags ...seqqc.Flag) Case {
		c := flagged(agreed(), flags...)
		c.Samples[0].Contig.PredictedErrors = 60
		return c
	}
	v := Judge(bad(seqqc.QualityMissing), Defaults())
	require.Equal(t, seqqc.Agrees, v.Kind)
	require.Equal(t, []seqqc.Flag{seqqc.QualityMissing}, v.Flags)
	v = Judge(bad(seqqc.QualityEstimated), Defaults())
	require.Equal(t, []seqqc.Flag{seqqc.LowQuality, seqqc.QualityEstimated}, v.Flags)
}

// withNearer puts an unnamed record before the hits of a match, at an identity.
func withNearer(m *seqqc.Match, identity float64) *seqqc.Match {
	h := hit("Russula", identity)
	h.Reference, h.Name, h.Lineage = "SYN0", refs.Name{Verbatim: "uncultured fungus", Unnamed: true}, refs.Lineage{}
	m.Hits = append([]seqqc.Hit{h}, m.Hits...)
	m.InWindow++
	return m
}

// TestReasonNamesTheCarrier: where the nearest record bears no name, the figures
// are those of the record that the verdict stands on.
func TestReasonNamesTheCarrier(t *testing.T) {
	c := specimen(field("Russula"), offered(withNearer(matched("Lactarius", 98), 98.4), "Russula", 90))
	v := Judge(c, Defaults())
	require.Equal(t, seqqc.Conflict, v.Kind)
	require.Contains(t, v.Reason, "98 % identical to Lactarius (SYN1), over 100 % of its barcode region, while an unnamed reference (SYN0) is nearer still (98.4 %)")
	plainSentence(t, v.Reason)

	equal := specimen(field("Russula"), offered(withNearer(matched("Lactarius", 98), 98), "Russula", 90))
	require.NotContains(t, Judge(equal, Defaults()).Reason, "unnamed", "no nearer than the named ones")

	// A nearer record without a name may be of the field genus.
	far := specimen(field("Russula"), withNearer(matched("Lactarius", 96.8), 97.2))
	require.Equal(t, seqqc.FieldGenusNotInLibrary, Judge(far, Defaults()).ReasonCode)

	// Nor does it widen the gap between two species.
	other := otherSpecies(98.9)
	withNearer(other.Samples[0].Match, 100)
	require.Empty(t, Judge(other, Defaults()).Flags, "99.8 and 98.9 are less than a point apart")
}

func TestReasonSaysWhereNoRegionWasFound(t *testing.T) {
	c := specimen(field("Russula"), matched("Lactarius", 98))
	require.Contains(t, Judge(c, Defaults()).Reason, "of its barcode region")
	c.Samples[0].Contig.Region = seqqc.Region{}
	require.Contains(t, Judge(c, Defaults()).Reason, "in which the barcode region was not found")
}
