package region

import (
	"bytes"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
	"forayseq/seqqc"
)

// newContig gives a contig of two reads with one disagreement of each kind.
// The forward read f covers [0, 600) from its base 20, the reverse read r
// covers [100, n) and was complemented: contig position p is its base n-1-p.
func newContig(seq string) *seqqc.Contig {
	n := len(seq)
	quals := make([]byte, n)
	for i := range quals {
		quals[i] = byte(20 + i%21)
	}
	phred := bytes.Clone(quals)
	for i := range phred {
		phred[i] += 33
	}
	return &seqqc.Contig{
		Bases: []byte(seq), Quals: quals, Sequence: seq, Phred33: string(phred),
		Reads: []seqqc.ReadPlacement{
			{File: "f", On: seqqc.Interval{Start: 0, End: 600}, Of: seqqc.Interval{Start: 20, End: 620}},
			{File: "r", On: seqqc.Interval{Start: 100, End: n}, Of: seqqc.Interval{Start: 0, End: n - 100}, Complemented: true},
		},
		Disagreements: []seqqc.Disagreement{
			{At: 150, Code: "R", Quality: 20, Calls: []seqqc.ReadCall{
				{File: "f", At: 170, Base: "A", Quality: 31}, {File: "r", At: n - 151, Base: "G", Quality: 12}}},
			// A base of the contig that r lacks.
			{At: 200, Code: "C", Quality: 22, Calls: []seqqc.ReadCall{
				{File: "f", At: 220, Base: "C", Quality: 31}, {File: "r", At: n - 200, Base: "-", Quality: 12}}},
			// A base of r that the contig left out, before position 300.
			{At: 300, Code: "-", Quality: 25, Calls: []seqqc.ReadCall{
				{File: "f", At: 319, Base: "-", Quality: 31}, {File: "r", At: n - 300, Base: "T", Quality: 12}}},
		},
		PredictedErrors: 0.5,
		Gap:             seqqc.Interval{Start: 400, End: 420},
		Flags:           []seqqc.Flag{seqqc.OneStrandOnly},
		Notes:           []string{"a note"},
	}
}

func TestOrientTurnsEverything(t *testing.T) {
	u := yeastUnit(newRand(21), 300, 350)
	n := len(u.seq)
	c := newContig(string(reversed(u.seq)))
	before := newContig(c.Sequence)
	Orient(c)

	require.Equal(t, u.seq, string(c.Bases))
	require.Equal(t, u.seq, c.Sequence)
	slices.Reverse(before.Quals)
	require.Equal(t, before.Quals, c.Quals)
	for i, q := range c.Quals {
		require.Equal(t, q+33, c.Phred33[i])
	}
	require.Equal(t, seqqc.Interval{Start: n - 420, End: n - 400}, c.Gap)
	require.Equal(t, []seqqc.ReadPlacement{
		{File: "f", On: seqqc.Interval{Start: n - 600, End: n}, Of: seqqc.Interval{Start: 20, End: 620}, Complemented: true},
		{File: "r", On: seqqc.Interval{Start: 0, End: n - 100}, Of: seqqc.Interval{Start: 0, End: n - 100}},
	}, c.Reads)
	require.Equal(t, []seqqc.Disagreement{
		// Before turning, the base of f behind the gap was 320; r, read the
		// other way, is unchanged for a base.
		{At: n - 300, Code: "-", Quality: 25, Calls: []seqqc.ReadCall{
			{File: "f", At: 320, Base: "-", Quality: 31}, {File: "r", At: n - 300, Base: "A", Quality: 12}}},
		{At: n - 201, Code: "G", Quality: 22, Calls: []seqqc.ReadCall{
			{File: "f", At: 220, Base: "G", Quality: 31}, {File: "r", At: n - 201, Base: "-", Quality: 12}}},
		{At: n - 151, Code: "Y", Quality: 20, Calls: []seqqc.ReadCall{
			{File: "f", At: 170, Base: "T", Quality: 31}, {File: "r", At: n - 151, Base: "C", Quality: 12}}},
	}, c.Disagreements)
	require.Equal(t, []seqqc.Flag{seqqc.OneStrandOnly, seqqc.ReverseComplemented}, c.Flags)
	require.True(t, c.Region.Complemented)
	require.Equal(t, span(u.its1, u.r58s), c.Region.ITS1)
	require.Equal(t, []string{"a note"}, c.Notes)

	again := *c
	Orient(&again)
	require.Equal(t, *c, again, "a second call changes nothing")
}

func TestReverseComplementTwiceIsIdentity(t *testing.T) {
	u := yeastUnit(newRand(22), 300, 350)
	c := newContig(u.seq)
	reverseComplement(c)
	require.Equal(t, string(align.ReverseComplement([]byte(u.seq))), c.Sequence)
	reverseComplement(c)
	require.Equal(t, newContig(u.seq), c)
}

func TestOrientLeavesTheCallersSlices(t *testing.T) {
	u := yeastUnit(newRand(23), 300, 350)
	c := newContig(string(reversed(u.seq)))
	held := *c
	want := newContig(c.Sequence)
	Orient(c)
	require.Equal(t, want, &held)
}

func TestOrientFlags(t *testing.T) {
	u := yeastUnit(newRand(24), 300, 350)
	for name, c := range map[string]struct {
		seq   string
		flags []seqqc.Flag
	}{
		"whole":      {u.seq, nil},
		"other way":  {string(reversed(u.seq)), []seqqc.Flag{seqqc.ReverseComplemented}},
		"part":       {u.seq[:u.its2+30], []seqqc.Flag{seqqc.RegionIncomplete}},
		"both":       {string(reversed(u.seq[:u.its2+30])), []seqqc.Flag{seqqc.ReverseComplemented, seqqc.RegionIncomplete}},
		"nothing":    {u.seq[u.its1:u.r58s], nil},
		"not an ITS": {yeastLSU, nil},
	} {
		// A flag of an earlier call does not stay.
		contig := &seqqc.Contig{Bases: []byte(c.seq), Sequence: c.seq, Flags: []seqqc.Flag{seqqc.RegionIncomplete}}
		Orient(contig)
		require.Equal(t, c.flags, contig.Flags, name)
	}
	empty := &seqqc.Contig{}
	Orient(empty)
	require.False(t, empty.Region.Located)
}

// Two sequences written behind one another hold the 5.8S twice, whatever the
// strand of the second.
func TestOrientSees58STwice(t *testing.T) {
	rng := newRand(77)
	a, b := yeastUnit(rng, 180, 200), yeastUnit(rng, 220, 170)
	one, other := a.seq, b.seq
	for name, seq := range map[string]string{"behind": one + other, "turned": one + string(reversed(other))} {
		c := newContig(seq)
		Orient(c)
		require.Contains(t, c.Flags, seqqc.ChimeraSuspected, name)
		require.Contains(t, c.Notes, twice58S, name)
		before := len(c.Notes)
		Orient(c)
		require.Len(t, c.Notes, before, name)
	}
	c := newContig(one)
	Orient(c)
	require.NotContains(t, c.Flags, seqqc.ChimeraSuspected)
}
