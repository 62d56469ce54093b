package verdict

import (
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
)

// plainSentence asks for one sentence: a capital, one full stop at the end, no
// unfinished formatting and no word of the trade that is not explained.
func plainSentence(t *testing.T, s string) {
	t.Helper()
	require.NotEmpty(t, s)
	require.Regexp(t, regexp.MustCompile(`^[A-Z]`), s)
	require.True(t, strings.HasSuffix(s, ".") && !strings.HasSuffix(s, ".."), s)
	require.NotRegexp(t, regexp.MustCompile(`[a-z)]\. [A-Z]`), s, "two sentences")
	require.NotContains(t, s, "%!", s)
	require.NotContains(t, s, "  ", s)
	for _, word := range []string{"contig", "Phred", "amplicon", "IUPAC", "threshold", "clade", "gate"} {
		require.NotRegexp(t, regexp.MustCompile(`\b`+word), s)
	}
}

// TestDecideIgnoresOrder shuffles the findings of every case of the test rows,
// and of mixtures of two cases.
func TestDecideIgnoresOrder(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	all := rows()
	for i := range all {
		f := Apply(all[i].c, Defaults())
		f = append(f, Apply(all[rng.IntN(len(all))].c, Defaults())...)
		want := Decide(f)
		for range 10 {
			rng.Shuffle(len(f), func(i, j int) { f[i], f[j] = f[j], f[i] })
			require.Equal(t, want, Decide(f))
		}
	}
}

func TestDecideKeepsLaterFindings(t *testing.T) {
	c := notITS(conflictCase())
	v := Judge(c, Defaults())
	require.Equal(t, seqqc.NotITS, v.ReasonCode)
	require.Len(t, v.Others, 1)
	require.Equal(t, "conflict", v.Others[0].Rule)
	require.Equal(t, seqqc.Conflict, v.Others[0].Verdict)
}

// A finding of a later stage that only adds a flag reaches the verdict, and
// asks for attention where it says so.
func TestDecideMergesFlagFindings(t *testing.T) {
	f := Apply(agreed(), Defaults())
	f = append(f,
		seqqc.Finding{Rule: "x", Question: seqqc.AskNothing, Flags: []seqqc.Flag{seqqc.SharedBarcode}, Attention: true, Reason: "Seen."},
		seqqc.Finding{Rule: "y", Question: seqqc.AskNothing, Flags: []seqqc.Flag{seqqc.OneStrandOnly}})
	v := Decide(f)
	require.Equal(t, seqqc.Agrees, v.Kind)
	require.Equal(t, []seqqc.Flag{seqqc.OneStrandOnly, seqqc.SharedBarcode}, v.Flags)
	require.True(t, v.Attention)
	require.Len(t, v.Others, 1, "a flag with nothing to read is not repeated")
}

func TestDecideNothing(t *testing.T) {
	v := Decide(nil)
	require.Equal(t, seqqc.Undetermined, v.Kind)
	require.True(t, v.Attention)
}

// TestNoMatchNeverAgrees takes the match away from every case of the rows.
func TestNoMatchNeverAgrees(t *testing.T) {
	for _, r := range rows() {
		c := r.c.with(func(c *Case) {
			for i := range c.Samples {
				c.Samples[i].Match = nil
			}
			c.DNAHabit = ""
		})
		v := Judge(c, Defaults())
		require.Equal(t, seqqc.Undetermined, v.Kind, r.what)
		for _, f := range v.Others {
			require.Contains(t, []seqqc.VerdictKind{"", seqqc.Undetermined}, f.Verdict, r.what)
		}
	}
}
