package match

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
	"forayseq/seqqc"
)

func contigOf(seq string) *seqqc.Contig {
	c := &seqqc.Contig{Bases: []byte(seq), Quals: make([]byte, len(seq))}
	for i := range c.Quals {
		c.Quals[i] = byte(20 + i%20)
	}
	return c
}

func TestDifferencesNameEachKind(t *testing.T) {
	//                  0         1         2         3
	c := contigOf("ACGTTGCAACGTRCCGATTGCAANNGTCCATGCA")
	ref := []byte("ACGTTGCATCGTACCGATTGCAACTGTGGCCATGCA")
	al, err := align.Overlap(c.Bases, ref, align.ITS)
	require.NoError(t, err)
	d := differences(al, c, 0, ref)
	require.Len(t, d, 4)
	require.Equal(t, seqqc.Difference{
		At: seqqc.Interval{Start: 8, End: 9}, OnReference: seqqc.Interval{Start: 8, End: 9}, Contig: "A", Reference: "T",
		Before: "GTTGCA", After: "CGTRCC", Quality: 28,
	}, d[0])
	require.Equal(t, "R/A", d[1].Contig+"/"+d[1].Reference)
	require.True(t, d[1].Code)
	require.Equal(t, "NN/CT", d[2].Contig+"/"+d[2].Reference)
	require.True(t, d[2].Code)
	require.Equal(t, "/GG", d[3].Contig+"/"+d[3].Reference)
	require.True(t, d[3].At.Empty())
	require.False(t, d[3].Code)
}

// The list holds what the counts count: as many substituted bases, gaps and gap
// bases, and put into the contig it makes the reference.
func TestDifferencesAddUp(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for range 200 {
		seq := make([]byte, 200)
		for i := range seq {
			seq[i] = "ACGT"[rng.IntN(4)]
		}
		var ref []byte
		for _, b := range seq {
			switch rng.IntN(25) {
			case 0:
				ref = append(ref, "ACGTRYN"[rng.IntN(7)])
			case 1:
				ref = append(ref, b, "ACGT"[rng.IntN(4)])
			case 2:
			default:
				ref = append(ref, b)
			}
		}
		c := contigOf(string(seq))
		al, err := align.Overlap(c.Bases, ref, align.ITS)
		require.NoError(t, err)
		counts, err := al.Count(c.Bases, ref)
		require.NoError(t, err)
		var substitutions, gaps, gapBases int
		var rebuilt []byte
		at, on := al.AStart, al.BStart
		for _, d := range differences(al, c, 0, ref) {
			require.Equal(t, d.At.Start-at, d.OnReference.Start-on)
			rebuilt = append(append(rebuilt, seq[at:d.At.Start]...), d.Reference...)
			at, on = d.At.End, d.OnReference.End
			require.Equal(t, string(seq[d.At.Start:d.At.End]), d.Contig)
			require.Equal(t, string(ref[d.OnReference.Start:d.OnReference.End]), d.Reference)
			switch {
			case d.Code:
			case len(d.Contig) == len(d.Reference):
				substitutions++
			default:
				gaps++
				for _, b := range d.Contig + d.Reference {
					if b != 'N' {
						gapBases++
					}
				}
			}
		}
		rebuilt = append(rebuilt, seq[at:al.AEnd]...)
		require.Equal(t, string(ref[al.BStart:al.BEnd]), string(rebuilt))
		require.Equal(t, []int{counts.Substitutions, counts.GapEvents, counts.GapBases}, []int{substitutions, gaps, gapBases})
		require.False(t, math.IsNaN(counts.IdentityPct()))
	}
}
