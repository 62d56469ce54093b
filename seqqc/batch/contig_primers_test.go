package batch_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
	"forayseq/seqqc"
	"forayseq/seqqc/contig"
	"forayseq/seqqc/simulate"
	"forayseq/seqqc/trim"
)

// Contigs of two to six simulated reads from primers at the ends of the ITS
// and within the 5.8S, good ones and bad: which reads are in, in which order,
// and how far the contig is the truth. Each sample is put together in two
// orders of its reads.
func TestContigsOfManyPrimers(t *testing.T) {
	none := []seqqc.Flag(nil)
	twoPart := []seqqc.Flag{seqqc.TwoPart}
	oneStrand := []seqqc.Flag{seqqc.OneStrandOnly}
	disagree := []seqqc.Flag{seqqc.StrandsDisagree}
	for _, c := range []struct {
		// reads are primer and far primer of the amplicon; "!" before it is of
		// another specimen, "?" after it of unknown direction and primer, "~" a
		// poor read, "-" a failed reaction.
		reads      string
		its1, its2 int
		flags      []seqqc.Flag
		left       int // usable reads left out
	}{
		{"ITS1-F/ITS4 ITS4/ITS1-F", 220, 220, none, 0},
		// One product, with one or both primers of the 5.8S.
		{"ITS1-F/ITS4 ITS3/ITS4", 220, 220, oneStrand, 0},
		{"ITS1-F/ITS4 ITS4/ITS1-F ITS3/ITS4", 220, 220, none, 0},
		{"ITS1-F/ITS4 ITS4/ITS1-F ITS2/ITS1-F ITS3/ITS4", 220, 220, none, 0},
		{"ITS1-F/ITS4 ITS4/ITS1-F ITS2/ITS1-F ITS3/ITS4 ITS1-F/ITS4 ITS4/ITS1-F", 220, 220, none, 0},
		{"ITS2/ITS1-F ITS4/ITS1-F", 220, 220, oneStrand, 0},
		// Repeats of one direction.
		{"ITS1-F/ITS4 ITS1-F/ITS4", 220, 220, oneStrand, 0},
		{"ITS4/ITS1-F ITS4/ITS1-F ITS4/ITS1-F", 220, 220, oneStrand, 0},
		// Two products that end and begin at one site in the 5.8S.
		{"ITS1-F/ITS2 ITS2/ITS1-F ITS3/ITS4 ITS4/ITS3", 220, 220, twoPart, 0},
		{"ITS1-F/ITS2 ITS4/ITS3", 220, 220, twoPart, 0},
		{"ITS2/ITS1-F ITS3/ITS4", 220, 220, twoPart, 0},
		{"ITS1-F/ITS2 ITS3/ITS4", 220, 220, twoPart, 0},
		{"ITS2/ITS1-F ITS4/ITS3", 220, 220, twoPart, 0},
		// The second product reaches over the site.
		{"ITS1-F/ITS2 ITS2/ITS1-F ITS4/ITS1-F", 220, 220, none, 0},
		// A long ITS whose halves are told by their primers.
		{"ITS1-F/ITS4 ITS4/ITS1-F", 1100, 1100, twoPart, 0},
		{"ITS1-F/ITS4 ITS4/ITS1-F ITS2/ITS1-F ITS3/ITS4", 600, 600, none, 0},
		{"ITS1-F/ITS4 ITS2/ITS1-F ITS3/ITS4", 600, 600, none, 0},
		// Four reads that make three pieces, of which two can be used.
		{"ITS1-F/ITS4 ITS2/ITS1-F ITS4/ITS1-F ITS3/ITS4", 1100, 2200, twoPart, 1},
		// A bad one among them.
		{"ITS1-F/ITS4 ITS4/ITS1-F !ITS3/ITS4", 220, 220, disagree, 1},
		{"ITS1-F/ITS4 !ITS4/ITS1-F ITS1-F/ITS4", 220, 220, []seqqc.Flag{seqqc.OneStrandOnly, seqqc.StrandsDisagree}, 1},
		{"ITS1-F/ITS4 ITS4/ITS1-F -ITS3/ITS4", 220, 220, none, 0},
		{"ITS1-F/ITS4 ITS4/ITS1-F ~ITS3/ITS4", 220, 220, none, 0},
		{"ITS1-F/ITS4 ITS4/ITS1-F ITS3/ITS4? ITS2/ITS1-F?", 220, 220, none, 0},
	} {
		t.Run(strings.NewReplacer("/", "-", " ", "_").Replace(c.reads)+fmt.Sprint(c.its1), func(t *testing.T) {
			rng := rand.New(rand.NewPCG(5, 58))
			for range trials(4, 40) {
				own := simulate.NewLocus(rng, c.its1, c.its2).Seq()
				other := simulate.NewLocus(rng, c.its1, c.its2).Seq()
				var reads []*seqqc.Read
				for k, text := range strings.Fields(c.reads) {
					reads = append(reads, readOfPrimer(t, rng, k, text, own, other))
				}
				got := contigsOf(t, reads)
				require.Equal(t, c.flags, got.Flags, "%q", got.Notes)
				usable := slices.DeleteFunc(slices.Clone(reads), func(r *seqqc.Read) bool { return !r.Usable })
				require.Len(t, got.Reads, len(usable)-c.left, "%q", got.Notes)
				for _, r := range usable {
					in := slices.ContainsFunc(got.Reads, func(p seqqc.ReadPlacement) bool { return p.File == r.File })
					told := slices.ContainsFunc(got.Notes, func(n string) bool {
						file, _, _ := strings.Cut(n, ";")
						return strings.HasPrefix(file, "left out: ") && strings.Contains(file, r.File)
					})
					require.NotEqual(t, in, told, "%s %q", r.File, got.Notes)
					if strings.HasPrefix(r.File, "!") {
						require.True(t, told)
					}
				}
				isPlaced(t, got, own)
			}
		})
	}
}

// readOfPrimer simulates and trims a read; see the table above for text.
func readOfPrimer(t *testing.T, rng *rand.Rand, k int, text string, own, other []byte) *seqqc.Read {
	t.Helper()
	r := &seqqc.Read{File: fmt.Sprint(text, k)}
	p, seq := simulate.Good(), own
	switch text[0] {
	case '!':
		seq = other
	case '~':
		p = simulate.Poor()
	case '-':
		p = simulate.Failed()
	}
	bare := strings.Trim(text, "!~-?")
	from, to, _ := strings.Cut(bare, "/")
	primer, ok := seqqc.PrimerByName(from)
	require.True(t, ok)
	var template []byte
	var err error
	if primer.Direction == seqqc.Forward {
		template, _, err = simulate.Amplicon(seq, from, to)
	} else {
		_, template, err = simulate.Amplicon(seq, to, from)
	}
	require.NoError(t, err)
	r.Trace = simulate.Read(rng, template, p)
	if !strings.HasSuffix(text, "?") {
		r.Primer, r.Partner, r.Direction = from, to, primer.Direction
	}
	require.NoError(t, trim.Trim(r, trim.Defaults()))
	return r
}

// contigsOf assembles the reads in two orders, which must not matter.
func contigsOf(t *testing.T, reads []*seqqc.Read) *seqqc.Contig {
	t.Helper()
	c, err := contig.Assemble(reads, contig.Defaults())
	require.NoError(t, err)
	turned := slices.Clone(reads)
	slices.Reverse(turned)
	again, err := contig.Assemble(turned, contig.Defaults())
	require.NoError(t, err)
	require.Equal(t, c, again)
	return c
}

// isPlaced requires that the parts of a contig lie in the truth in their order
// and with few errors, and that each read lies where its own bases are.
func isPlaced(t *testing.T, c *seqqc.Contig, truth []byte) {
	t.Helper()
	parts := []seqqc.Interval{{End: len(c.Bases)}}
	if !c.Gap.Empty() {
		parts = []seqqc.Interval{{End: c.Gap.Start}, {Start: c.Gap.End, End: len(c.Bases)}}
	}
	end := 0
	for _, v := range parts {
		part := c.Bases[v.Start:v.End]
		al, err := align.Overlap(part, truth, align.ITS)
		require.NoError(t, err)
		require.GreaterOrEqual(t, al.BStart, end, "the parts are in the wrong order")
		end = al.BEnd
		wrong := 0
		for _, differs := range differences(t, part, truth) {
			if differs {
				wrong++
			}
		}
		require.LessOrEqual(t, wrong, 4)
	}
	for _, p := range c.Reads {
		require.False(t, p.On.Start < c.Gap.End && c.Gap.Start < p.On.End, p)
		require.InDelta(t, p.Of.Len(), p.On.Len(), 8)
	}
	require.Equal(t, bytes.Count(c.Bases, []byte("N")) >= contig.PartGap, !c.Gap.Empty())
}
