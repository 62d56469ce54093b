package region

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
)

func TestLocateParts(t *testing.T) {
	rng := newRand(11)
	u := yeastUnit(rng, 300, 350)
	long := yeastUnit(rng, 1600, 900)
	cress := newUnit(cressSSUEnd, randomBases(rng, 230, 0.6), cress58S, randomBases(rng, 220, 0.6), cressLSU)
	human := newUnit(cressSSUEnd, randomBases(rng, 400, 0.6), human58S, randomBases(rng, 500, 0.6), cressLSU)
	blank := func(n int) string { return strings.Repeat("N", n) }
	its1 := span(u.its1, u.r58s)
	type want struct {
		text       string
		its1, r58s seqqc.Interval
		its2       seqqc.Interval
		not        string
	}
	for name, c := range map[string]struct {
		seq  string
		want want
	}{
		"whole": {u.seq, want{"SSU(end)-ITS1-5.8S-ITS2-LSU(start)", its1, span(u.r58s, u.its2), span(u.its2, u.tail), ""}},
		"long spacers": {long.seq, want{"SSU(end)-ITS1-5.8S-ITS2-LSU(start)", span(long.its1, long.r58s),
			span(long.r58s, long.its2), span(long.its2, long.tail), ""}},
		"plant": {cress.seq, want{"SSU(end)-ITS1-5.8S-ITS2-LSU(start)", span(cress.its1, cress.r58s),
			span(cress.r58s, cress.its2), span(cress.its2, cress.tail), ""}},
		// The end of an animal's 5.8S is found with the motif of fungi, less a
		// base.
		"animal": {human.seq, want{"SSU(end)-ITS1-5.8S-ITS2-LSU(start)", span(human.its1, human.r58s),
			span(human.r58s, human.its2-1), span(human.its2-1, human.tail), ""}},
		"lower case": {strings.ToLower(u.seq), want{"SSU(end)-ITS1-5.8S-ITS2-LSU(start)", its1,
			span(u.r58s, u.its2), span(u.its2, u.tail), ""}},
		// After primer ITS1 is cut, 11 bases of the SSU are left.
		"primers ITS1 and ITS4 cut": {u.seq[u.its1-11 : u.tail+38], want{"SSU(end)-ITS1-5.8S-ITS2-LSU(start)",
			span(11, 311), span(311, 467), span(467, 817), ""}},
		"starts in ITS1": {u.seq[u.its1+50 : u.tail+75], want{"ITS1(part)-5.8S-ITS2-LSU(start)",
			span(0, 250), span(250, 406), span(406, 756), ""}},
		"starts and ends in the spacers": {u.seq[u.its1+50 : u.tail-50], want{"ITS1(part)-5.8S-ITS2(part)",
			span(0, 250), span(250, 406), span(406, 706), ""}},
		// Cut exactly at the borders, as libraries are: that the spacers are
		// whole is not to be seen.
		"cut at the borders": {u.seq[u.its1:u.tail], want{"ITS1(part)-5.8S-ITS2(part)",
			span(0, 300), span(300, 456), span(456, 806), ""}},
		// Primer ITS3 cut: the contig starts at base 50 of the 5.8S.
		"starts in the 5.8S": {u.seq[u.r58s+50 : u.tail+75], want{"5.8S(part)-ITS2-LSU(start)",
			seqqc.Interval{}, span(0, 106), span(106, 456), ""}},
		// Primer ITS2 cut: the contig ends at base 30 of the 5.8S.
		"ends in the 5.8S": {u.seq[:u.r58s+30], want{"SSU(end)-ITS1-5.8S(part)",
			its1, span(u.r58s, u.r58s+30), seqqc.Interval{}, ""}},
		// Primer fITS7 cut: the end of the 5.8S alone.
		"starts after fITS7": {u.seq[u.r58s+102 : u.tail+75], want{"5.8S(part)-ITS2-LSU(start)",
			seqqc.Interval{}, span(0, 54), span(54, 404), ""}},
		"5.8S only": {yeast58S, want{"5.8S", seqqc.Interval{}, span(0, 156), seqqc.Interval{}, ""}},
		"start of the 5.8S spoilt": {u.seq[:u.r58s] + randomBases(rng, 28, 0.5) + u.seq[u.r58s+28:],
			want{"SSU(end)-ITS1-5.8S-ITS2-LSU(start)", its1, span(u.r58s, u.its2), span(u.its2, u.tail), ""}},
		"gap in ITS1": {u.seq[:u.its1+100] + blank(50) + u.seq[u.its1+220:], want{"SSU(end)-ITS1(gap)-5.8S-ITS2-LSU(start)",
			span(u.its1, u.r58s-70), span(u.r58s-70, u.its2-70), span(u.its2-70, u.tail-70), ""}},
		// The gap may stand for more or fewer bases than it has N.
		"short gap in the 5.8S": {u.seq[:u.r58s+40] + blank(10) + u.seq[u.r58s+90:], want{"SSU(end)-ITS1-5.8S(gap)-ITS2-LSU(start)",
			its1, span(u.r58s, u.its2-40), span(u.its2-40, u.tail-40), ""}},
		"long gap in the 5.8S": {u.seq[:u.r58s+60] + blank(100) + u.seq[u.r58s+80:], want{"SSU(end)-ITS1-5.8S(gap)-ITS2-LSU(start)",
			its1, span(u.r58s, u.its2+80), span(u.its2+80, u.tail+80), ""}},
		// N at the ends are no gap.
		"N at both ends": {blank(20) + u.seq[u.its1+100:u.its2+100] + blank(20), want{"ITS1(part)-5.8S-ITS2(part)",
			span(0, 220), span(220, 376), span(376, 496), ""}},
		"gap over the 5.8S": {u.seq[:u.its1+150] + blank(20) + u.seq[u.its2+50:], want{"SSU(end)-ITS1(part)-ITS2(part)-LSU(start)",
			span(u.its1, u.its1+150), seqqc.Interval{}, span(u.its1+170, u.its1+470), ""}},
		"no 5.8S": {u.seq[:u.r58s] + u.seq[u.its2:], want{"SSU(end)-ITS(5.8S not found)-LSU(start)",
			span(u.its1, u.tail-156), seqqc.Interval{}, seqqc.Interval{}, ""}},
		"end of ITS2": {u.seq[u.its2+100:], want{"ITS2(part)-LSU(start)",
			seqqc.Interval{}, seqqc.Interval{}, span(0, 250), ""}},
		"LSU":           {yeastLSU, want{"LSU", seqqc.Interval{}, seqqc.Interval{}, seqqc.Interval{}, "large subunit (28S) only"}},
		"LSU, LR0R cut": {yeastLSU[40:600], want{"LSU", seqqc.Interval{}, seqqc.Interval{}, seqqc.Interval{}, "large subunit (28S) only"}},
		"LSU, from 150": {yeastLSU[150:], want{"LSU", seqqc.Interval{}, seqqc.Interval{}, seqqc.Interval{}, "large subunit (28S) only"}},
		"SSU":           {yeastSSU, want{"SSU", seqqc.Interval{}, seqqc.Interval{}, seqqc.Interval{}, "small subunit (18S) only"}},
		"SSU, end cut":  {yeastSSU[:300], want{"SSU", seqqc.Interval{}, seqqc.Interval{}, seqqc.Interval{}, "small subunit (18S) only"}},
		// Too short to say that the amplicon is another one.
		"short read of the flank": {u.seq[:u.its1+20], want{"SSU(end)-ITS1(part)",
			span(u.its1, u.its1+20), seqqc.Interval{}, seqqc.Interval{}, ""}},
		"SSU, inside": {yeastSSU[30:270], want{"SSU", seqqc.Interval{}, seqqc.Interval{}, seqqc.Interval{}, "small subunit (18S) only"}},
		// The variable part of the LSU holds no motif: missing evidence.
		"LSU, variable part": {yeastLSU[420:620], want{"no conserved end found", seqqc.Interval{}, seqqc.Interval{}, seqqc.Interval{}, ""}},
		"ITS1 only":          {u.seq[u.its1:u.r58s], want{"no conserved end found", seqqc.Interval{}, seqqc.Interval{}, seqqc.Interval{}, ""}},
		"nothing":            {"", want{"no conserved end found", seqqc.Interval{}, seqqc.Interval{}, seqqc.Interval{}, ""}},
		"N":                  {blank(700), want{"no conserved end found", seqqc.Interval{}, seqqc.Interval{}, seqqc.Interval{}, ""}},
		"not nucleotide":     {"MKV-*?EELLQ..", want{"no conserved end found", seqqc.Interval{}, seqqc.Interval{}, seqqc.Interval{}, ""}},
	} {
		t.Run(name, func(t *testing.T) {
			r := Locate([]byte(c.seq))
			got := want{r.Text, r.ITS1, r.R58S, r.ITS2, r.NotITS}
			if r.NotITS != "" {
				got.its1, got.its2 = seqqc.Interval{}, seqqc.Interval{} // a few bases at most
			}
			require.Equal(t, c.want, got)
			require.False(t, r.Complemented)
			require.Equal(t, c.want.text != "no conserved end found", r.Located)
			require.Equal(t, strings.Contains(r.Text, "-ITS1-"), r.ITS1Whole)
			require.Equal(t, strings.Contains(r.Text, "-ITS2-"), r.ITS2Whole)

			other := Locate(reversed(c.seq))
			require.Equal(t, r.Located, other.Complemented, "found on the other strand")
			other.Complemented = false
			require.Equal(t, r, other, "the same on the other strand")
		})
	}
}

// Codes for two bases match what they stand for; N and three-base codes cost
// an edit.
func TestLocateWithAmbiguityCodes(t *testing.T) {
	u := yeastUnit(newRand(12), 300, 350)
	seq := []byte(u.seq)
	for i := 3; i < len(seq); i += 12 {
		seq[i] = map[byte]byte{'A': 'R', 'C': 'Y', 'G': 'K', 'T': 'W'}[seq[i]]
	}
	for i := 9; i < len(seq); i += 24 {
		seq[i] = "NBDHV"[i%5]
	}
	r := Locate(seq)
	require.Equal(t, "SSU(end)-ITS1-5.8S-ITS2-LSU(start)", r.Text)
	require.Equal(t, span(u.its1, u.r58s), r.ITS1)
	require.Equal(t, span(u.its2, u.tail), r.ITS2)
}

// Parts follow one another without holes and stay inside the sequence,
// wherever it is cut.
func TestPartsTile(t *testing.T) {
	u := yeastUnit(newRand(13), 200, 200)
	for start := 0; start < len(u.seq)-60; start += 7 {
		for end := start + 60; end <= len(u.seq); end += 41 {
			requireTiled(t, []byte(u.seq[start:end]), Locate([]byte(u.seq[start:end])))
		}
	}
}

func requireTiled(t testing.TB, seq []byte, r seqqc.Region) {
	t.Helper()
	if !r.Located {
		require.Equal(t, seqqc.Region{Text: r.Text, NotITS: r.NotITS}, r)
		return
	}
	at := 0
	for i, part := range []seqqc.Interval{r.SSU, r.ITS1, r.R58S, r.ITS2, r.LSU} {
		if part.Empty() {
			require.Zero(t, part)
			continue
		}
		if at != part.Start {
			// Only a gap over the 5.8S leaves a hole, before ITS2 or, where that
			// lies in the gap as well, before the LSU.
			require.True(t, i == 3 || i == 4 && r.ITS2.Empty(), "part %d", i)
			require.True(t, r.R58S.Empty())
			// A motif may reach a few bases into the gap.
			require.Greater(t, part.Start, at)
		}
		at = part.End
	}
	require.Equal(t, len(seq), at)
	require.NotEmpty(t, r.Text)
}

func BenchmarkLocate(b *testing.B) {
	seq := []byte(yeastUnit(newRand(14), 200, 200).seq)
	b.SetBytes(int64(len(seq)))
	for b.Loop() {
		Locate(seq)
	}
}
