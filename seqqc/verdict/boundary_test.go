package verdict

import (
	"bytes"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/seqqc"
)

// TestBoundaries holds both sides of every limit at which a verdict turns.
func TestBoundaries(t *testing.T) {
	type seen struct {
		kind  seqqc.VerdictKind
		code  seqqc.ReasonCode
		agree refs.Rank
	}
	for _, r := range []struct {
		what string
		c    Case
		want seen
	}{
		{"species at 99.6", specimen(field("Russula emetica"), matched("Russula emetica", 99.6)), seen{seqqc.Agrees, "", refs.Species}},
		{"species below", specimen(field("Russula emetica"), matched("Russula emetica", 99.59)), seen{seqqc.Agrees, "", refs.Genus}},
		{"genus at 94.3", specimen(field("Russula"), matched("Russula", 94.3)), seen{seqqc.Agrees, "", refs.Genus}},
		{"genus below", specimen(field("Russula"), matched("Russula", 94.29)), seen{seqqc.Consistent, "", 0}},
		{"family at 88.5", specimen(field("Russula"), matched("Lactarius", 88.5)), seen{seqqc.Consistent, "", 0}},
		{"family below", specimen(field("Russula"), matched("Lactarius", 88.49)), seen{seqqc.Undetermined, seqqc.TooDistant, 0}},
		{"another order at 81.2, comparable", specimen(field("Amanita"), offered(matched("Russula", 81.2), "Amanita", 75)), seen{seqqc.Conflict, "", 0}},
		{"only its class", specimen(field("Amanita"), offered(matched("Russula", 81.19), "Amanita", 75)), seen{seqqc.Undetermined, seqqc.TooDistant, 0}},
		{"another class at 80.9", specimen(field("Amanita"), offered(matched("Hypomyces", 80.9), "Amanita", 75)), seen{seqqc.Overgrowth, "", 0}},
		{"nothing", specimen(field("Amanita"), offered(matched("Hypomyces", 80.89), "Amanita", 75)), seen{seqqc.Undetermined, seqqc.TooDistant, 0}},
		{"absent genus, 97", specimen(field("Russula"), matched("Lactarius", 97)), seen{seqqc.Conflict, "", 0}},
		{"absent genus, below", specimen(field("Russula"), matched("Lactarius", 96.99)), seen{seqqc.Undetermined, seqqc.FieldGenusNotInLibrary, 0}},
		{"absent genus, 97 but not strictly", specimen(field("Russula"), changed(matched("Lactarius", 98), func(m *seqqc.Match) {
			m.Hits[0].IdentityStrictPct = 96
		})), seen{seqqc.Undetermined, seqqc.FieldGenusNotInLibrary, 0}},
		{"samples at 97", twoSamples(97, matched("Russula", 98), nil), seen{seqqc.Agrees, "", refs.Genus}},
		{"samples below", twoSamples(96.99, matched("Russula", 98), nil), seen{seqqc.Undetermined, seqqc.SamplesDisagree, 0}},
	} {
		t.Run(r.what, func(t *testing.T) {
			v := Judge(r.c, Defaults())
			require.Equal(t, r.want, seen{v.Kind, v.ReasonCode, v.AgreeRank}, v.Reason)
		})
	}
}

func TestSpeciesDiffersBoundary(t *testing.T) {
	for identity, want := range map[float64]bool{98.7: true, 98.81: false, 99.8: false} {
		v := Judge(otherSpecies(identity), Defaults())
		require.Equal(t, seqqc.Agrees, v.Kind)
		require.Equal(t, want, len(v.Flags) == 1 && v.Flags[0] == seqqc.SpeciesDiffers, identity)
		require.Equal(t, want, v.Attention)
	}
	doubtful := otherSpecies(95).with(func(c *Case) { c.Field.Name.Doubt = refs.DoubtCf })
	require.Empty(t, Judge(doubtful, Defaults()).Flags, "a doubted name claims no species")
}

func TestUsable(t *testing.T) {
	p := Defaults()
	bases := func(n int) *seqqc.Contig { return contigOf(n) }
	for _, r := range []struct {
		what string
		c    *seqqc.Contig
		want bool
	}{
		{"nil", nil, false},
		{"149 bases", bases(149), false},
		{"150 bases", bases(150), true},
		{"150 with an N", edit(bases(150), func(c *seqqc.Contig) { c.Bases[3] = 'N' }), false},
		{"3 % errors", edit(bases(600), func(c *seqqc.Contig) { c.PredictedErrors = 18 }), true},
		{"more", edit(bases(600), func(c *seqqc.Contig) { c.PredictedErrors = 18.1 }), false},
		{"more, as it has no qualities", edit(bases(600), func(c *seqqc.Contig) {
			c.PredictedErrors, c.Flags = 60, []seqqc.Flag{seqqc.QualityMissing}
		}), true},
		{"5.7 % codes", edit(bases(1000), func(c *seqqc.Contig) { copy(c.Bases, bytes.Repeat([]byte("R"), 57)) }), true},
		{"more codes", edit(bases(1000), func(c *seqqc.Contig) { copy(c.Bases, bytes.Repeat([]byte("R"), 58)) }), false},
		{"the gap of two parts is no ambiguity", edit(bases(600), func(c *seqqc.Contig) {
			c.Gap = seqqc.Interval{Start: 250, End: 350}
			copy(c.Bases[250:], bytes.Repeat([]byte("N"), 100))
		}), true},
		{"long, but little of it ITS", edit(bases(600), func(c *seqqc.Contig) {
			c.Region = seqqc.Region{Located: true, ITS2: seqqc.Interval{Start: 0, End: 100}, LSU: seqqc.Interval{Start: 100, End: 600}}
		}), false},
		{"long, and known to be something else", edit(bases(600), func(c *seqqc.Contig) {
			c.Region = seqqc.Region{Located: true, NotITS: "LSU", LSU: seqqc.Interval{Start: 0, End: 600}}
		}), true},
	} {
		t.Run(r.what, func(t *testing.T) {
			got, why := Usable(r.c, p)
			require.Equal(t, r.want, got, why)
			require.Equal(t, got, why == "")
		})
	}
}

func edit(c *seqqc.Contig, change func(*seqqc.Contig)) *seqqc.Contig {
	change(c)
	return c
}

func TestFlagLimits(t *testing.T) {
	flagsAt := func(n int, errors float64) string {
		c := agreed().with(func(c *Case) {
			c.Samples[0].Contig = edit(contigOf(n), func(c *seqqc.Contig) { c.PredictedErrors = errors })
		})
		return seqqc.JoinFlags(Judge(c, Defaults()).Flags)
	}
	require.Equal(t, "", flagsAt(250, 2.5))
	require.Equal(t, "short", flagsAt(249, 2))
	require.Equal(t, "low_quality", flagsAt(250, 2.6))
}

func TestChoose(t *testing.T) {
	p := Defaults()
	s := func(c *seqqc.Contig) seqqc.SampleResult { return seqqc.SampleResult{Contig: c} }
	with := func(n int, errors float64) *seqqc.Contig {
		return edit(contigOf(n), func(c *seqqc.Contig) { c.PredictedErrors = errors })
	}
	missing := edit(contigOf(700), func(c *seqqc.Contig) { c.Flags = []seqqc.Flag{seqqc.QualityMissing} })
	lsu := edit(contigOf(900), func(c *seqqc.Contig) { c.Region.NotITS = "LSU" })
	for i, r := range []struct {
		samples []seqqc.SampleResult
		want    int
	}{
		{nil, -1},
		{[]seqqc.SampleResult{s(nil), s(contigOf(60))}, -1},
		{[]seqqc.SampleResult{s(nil), s(contigOf(600))}, 1},
		{[]seqqc.SampleResult{s(with(700, 15)), s(with(600, 0.5))}, 1},
		{[]seqqc.SampleResult{s(with(600, 0.5)), s(with(700, 0.6))}, 1},
		{[]seqqc.SampleResult{s(with(600, 0.5)), s(with(600, 0.5))}, 0},
		{[]seqqc.SampleResult{s(missing), s(with(300, 1))}, 1},
		{[]seqqc.SampleResult{s(missing), s(nil)}, 0},
		{[]seqqc.SampleResult{s(lsu), s(with(200, 1))}, 1},
		{[]seqqc.SampleResult{s(lsu)}, 0},
	} {
		require.Equal(t, r.want, Choose(r.samples, p), "row %d", i)
	}
}

func TestSampleIdentity(t *testing.T) {
	p := Defaults()
	seq := func(every int) *seqqc.Contig {
		c := &seqqc.Contig{}
		state := uint32(7)
		for range 400 {
			state = state*1664525 + 1013904223
			c.Bases = append(c.Bases, "ACGT"[state>>30])
		}
		for i := every; every > 0 && i < len(c.Bases); i += every {
			c.Bases[i] = map[byte]byte{'A': 'C', 'C': 'A', 'G': 'T', 'T': 'G'}[c.Bases[i]]
		}
		return c
	}
	s := func(cs ...*seqqc.Contig) (out []seqqc.SampleResult) {
		for _, c := range cs {
			out = append(out, seqqc.SampleResult{Contig: c})
		}
		return out
	}
	for _, r := range []struct {
		what    string
		samples []seqqc.SampleResult
		want    float64
	}{
		{"one", s(seq(0)), 0},
		{"one usable", s(seq(0), contigOf(60)), 0},
		{"equal", s(seq(0), seq(0)), 100},
		{"19 of 400 differ", s(seq(0), seq(20)), 100 * 381. / 400},
		{"the worst pair counts", s(seq(0), seq(0), seq(20)), 100 * 381. / 400},
	} {
		got, err := SampleIdentity(r.samples, p)
		require.NoError(t, err)
		require.InDelta(t, r.want, got, 1e-9, r.what)
	}
	_, err := SampleIdentity(s(seq(0), edit(seq(0), func(c *seqqc.Contig) { c.Bases[5] = '*' })), p)
	require.ErrorContains(t, err, "sample 1 and sample 2")
}

func TestFigure(t *testing.T) {
	for v, want := range map[float64]string{99.6: "99.6", 99.597: "99.59", 100: "100", 94.3: "94.3", 0.29: "0.29", 99.999: "99.99"} {
		require.Equal(t, want, figure(v), fmt.Sprint(v))
	}
}

func TestOvergrowthTellsSecondSequence(t *testing.T) {
	c := specimen(field("Russula"), matched("Penicillium", 99))
	require.NotContains(t, Judge(c, Defaults()).Reason, "second")
	c.ReadFlags = []seqqc.Flag{seqqc.MixedTemplate}
	v := Judge(c, Defaults())
	require.Contains(t, v.Reason, "weaker sequence, which may be the specimen's own")
	require.Equal(t, []seqqc.Flag{seqqc.MixedTemplate}, v.Flags)
	plainSentence(t, v.Reason)
}

func TestUnknownNameSaysWhatToWrite(t *testing.T) {
	for name, want := range map[refs.Name]string{
		{Verbatim: "Grumbleshroom"}:                                      "Correct its spelling",
		{Verbatim: "Russula / Lactarius", Several: "Russula, Lactarius"}: "Keep one of the names",
		{Verbatim: "L. piperatus", Abbreviated: true}:                    "Write the genus in full",
	} {
		c := specimen(field("Russula"), matched("Russula", 99))
		c.Field = Field{Name: name}
		v := Judge(c, Defaults())
		require.Equal(t, seqqc.FieldNameUnknown, v.ReasonCode, name.Verbatim)
		require.Contains(t, v.NextStep, want)
	}
}
