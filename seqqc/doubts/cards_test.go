package doubts

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
	"forayseq/refs"
	"forayseq/seqqc"
)

const spacing = 12 // samples a base of the test's traces

// read makes a read of clean peaks of height 1000 with qualities of 30. second
// puts a second peak of a base under some.
func read(file, bases string, second map[int]byte) *seqqc.Read {
	t := &seqqc.Trace{Bases: []byte(bases)}
	for k := range t.Channels {
		t.Channels[k] = make([]int32, (len(bases)+2)*spacing)
	}
	peak := func(at int, base byte, height float64) {
		k := strings.IndexByte("ACGT", base)
		for i := range t.Channels[k] {
			d := float64(i-at) / 3
			t.Channels[k][i] += int32(height * math.Exp(-d*d/2))
		}
	}
	signal := &seqqc.Signal{}
	for i := range bases {
		at := (i + 1) * spacing
		t.Peaks = append(t.Peaks, at)
		t.Quals = append(t.Quals, 30)
		b := seqqc.BaseSignal{At: at, Noise: 20, Primary: seqqc.Peak{Base: bases[i], At: at, Height: 1000, Shape: seqqc.Summit}}
		peak(at, bases[i], 1000)
		if base, ok := second[i]; ok {
			peak(at, base, 500)
			b.Secondary = seqqc.Peak{Base: base, At: at, Height: 500, Shape: seqqc.Summit}
			b.Ratio = .5
		}
		signal.Bases = append(signal.Bases, b)
	}
	return &seqqc.Read{File: file, Trace: t, Signal: signal, Primer: "ITS1-F"}
}

const sequence = "ACGTTGCAAGGCTATCCGATTACGTGCAATGC"

// example has one voucher whose reads differ at base 10: G forward, A reverse.
func example() (*seqqc.VoucherResult, func(string) *seqqc.Read) {
	turned := []byte(sequence)
	turned[10] = 'A'
	f := read("f.ab1", sequence, map[int]byte{10: 'A'})
	r := read("r.ab1", string(align.ReverseComplement(turned)), nil)
	whole := seqqc.Interval{Start: 0, End: len(sequence)}
	quals := make([]byte, len(sequence))
	for i := range quals {
		quals[i] = 40
	}
	quals[10] = 9
	contig := &seqqc.Contig{
		Bases: []byte(sequence), Quals: quals,
		Reads: []seqqc.ReadPlacement{
			{File: "f.ab1", On: whole, Of: whole},
			{File: "r.ab1", On: whole, Of: whole, Complemented: true},
		},
		Disagreements: []seqqc.Disagreement{{At: 10, Code: "G", Quality: 9, Calls: []seqqc.ReadCall{
			{File: "f.ab1", At: 10, Base: "G", Quality: 31},
			{File: "r.ab1", At: len(sequence) - 11, Base: "A", Quality: 12},
		}}},
		Region: seqqc.Region{Located: true, ITS1: seqqc.Interval{Start: 4, End: 20}},
	}
	best := seqqc.Hit{
		Reference: "SYN1", Name: refs.Name{Genus: "Russula", Epithet: "ficticia", Rank: refs.Species},
		Columns: 200, IdentityPct: 99.5, IdentityStrictPct: 99.5, OnContig: whole, Gate: seqqc.GatePass,
		Differences: []seqqc.Difference{{At: seqqc.Interval{Start: 10, End: 11}, Contig: "G", Reference: "A"}},
	}
	v := &seqqc.VoucherResult{Samples: []seqqc.SampleResult{{
		Contig: contig,
		Match: &seqqc.Match{
			Hits:  []seqqc.Hit{best},
			Votes: []seqqc.Vote{{Rank: refs.Genus, Threshold: 94.3}, {Rank: refs.Species, Threshold: 99.6}},
		},
	}}}
	reads := map[string]*seqqc.Read{"f.ab1": f, "r.ab1": r}
	return v, func(file string) *seqqc.Read { return reads[file] }
}

func TestADisagreementThatDecides(t *testing.T) {
	v, reads := example()
	cards := Cards(v, reads)
	require.Len(t, cards, 1)
	c := cards[0]
	require.Equal(t, "Position 11: G or A?", c.Question)
	require.Equal(t, "ITS1", c.Part)
	require.Equal(t, "TGCAAG", c.Before)
	require.Equal(t, "CTATCC", c.After)
	require.Equal(t, Conclusion, c.Stake)
	require.False(t, c.Settled)
	require.Len(t, c.Answers, 3)
	require.Equal(t, []string{"G", "A", "R"}, []string{c.Answers[0].Code, c.Answers[1].Code, c.Answers[2].Code})
	require.InDelta(t, 100, c.Answers[1].IdentityPct, 1e-9)
	require.True(t, c.Answers[1].Crosses)
	require.Contains(t, c.Answers[1].Says, "reaches the threshold of 99.6 % for the species")
	// R holds A: identical, but not strictly, and both are asked.
	require.InDelta(t, 100, c.Answers[2].IdentityPct, 1e-9)
	require.False(t, c.Answers[2].Crosses)
	require.Contains(t, c.Says[0], "G at Q31; under the peak of G lies a second one, A, of 33 % of the two heights.")
	require.Contains(t, c.Says[1], "The reverse read (ITS1-F) says A at Q12; the highest peak is A, and no other stands out.")
	require.NotNil(t, c.Strands[0].Place)
	require.Equal(t, sequence[5:16], c.Strands[0].Place.Around)
}

// Both windows are in contig direction: their letters are the contig's but for
// the place in doubt, and the highest point at each call is of its own base.
func TestWindowsLieAlike(t *testing.T) {
	v, reads := example()
	for _, s := range Cards(v, reads)[0].Strands {
		var letters strings.Builder
		p := s.Peaks
		for _, b := range p.Bases {
			letters.WriteString(b.Base)
			at := b.X * (len(p.A) - 1) / full
			highest, name := -1, ""
			for k, channel := range p.Channels() {
				require.Len(t, channel, len(p.A))
				near := max(channel[max(0, at-1)], channel[at], channel[min(len(channel)-1, at+1)])
				if near > highest {
					highest, name = near, "ACGT"[k:k+1]
				}
			}
			require.Equal(t, b.Base, name)
			require.Equal(t, b.Doubt, b.X == p.Mark)
		}
		require.Equal(t, sequence[4:10]+s.Call+sequence[11:17], letters.String())
	}
}

func TestSettledAndOutside(t *testing.T) {
	v, reads := example()
	s := &v.Samples[0]
	s.Contig.Quals[10] = 40
	s.Match.Hits[0].OnContig = seqqc.Interval{Start: 15, End: 30}
	c := Cards(v, reads)[0]
	require.True(t, c.Settled)
	require.Equal(t, Outside, c.Stake)
	s.Match = nil
	require.Equal(t, Outside, Cards(v, reads)[0].Stake)
}

// Read back from results.json there are no traces: the calls still stand.
func TestWithoutTraces(t *testing.T) {
	v, _ := example()
	c := Cards(v, func(string) *seqqc.Read { return nil })[0]
	require.Len(t, c.Strands, 2)
	require.Nil(t, c.Strands[0].Peaks)
	require.Nil(t, c.Strands[0].Place)
	require.Contains(t, c.Says[1], "The reverse read says A at Q12.")
}

func TestOtherDoubts(t *testing.T) {
	v, reads := example()
	contig := v.Samples[0].Contig
	contig.Disagreements = []seqqc.Disagreement{
		{At: 5, Code: "-", Quality: 15, Calls: []seqqc.ReadCall{{File: "f.ab1", At: 5, Base: "T", Quality: 9}, {File: "r.ab1", At: 26, Base: "-", Quality: 20}}},
		{At: 99, Code: "A"},
	}
	contig.Bases[20], contig.Bases[22], contig.Quals[20], contig.Quals[22] = 'N', 'Y', 0, 20
	contig.Variants = []seqqc.Variant{{At: seqqc.Interval{Start: 22, End: 23}, Contig: "Y", Other: "T", Quality: 25, Strands: "both", InCode: true}}
	kinds := map[string]string{}
	for _, c := range Cards(v, reads) {
		kinds[c.Question] = string(c.Kind)
	}
	require.Equal(t, map[string]string{
		"Before position 6: no base or T?": "disagreement",
		"Position 21: T or another base?":  "open_code",
		"Position 23: C or T?":             "variant",
	}, kinds)
}

func TestDoublePeaksOfAReadAreCards(t *testing.T) {
	v, reads := example()
	v.Samples[0].Contig.Disagreements = nil
	reads("r.ab1").Copies = &seqqc.Copies{Sites: []seqqc.DoublePeak{
		{At: len(sequence) - 1 - 13, Major: "A", Minor: "C", LogOdds: 1}, {At: 3, Major: "A", Minor: "C", LogOdds: -1},
	}}
	cards := Cards(v, reads)
	require.Len(t, cards, 1)
	require.Equal(t, DoublePeak, cards[0].Kind)
	require.Equal(t, 13, cards[0].At)
	require.Equal(t, "Position 14: A, G or T?", cards[0].Question)
}

// A card goes to a browser: heights are plain numbers.
func TestCardsAsJSON(t *testing.T) {
	v, reads := example()
	raw, err := json.Marshal(Cards(v, reads))
	require.NoError(t, err)
	require.Contains(t, string(raw), `"stake":"conclusion"`)
	require.Regexp(t, `"a":\[\d+,\d+`, string(raw))
}

func ExampleCards() {
	v, reads := example()
	for _, c := range Cards(v, reads) {
		fmt.Println(c.Question)
		fmt.Println(c.Why)
	}
	// Output:
	// Position 11: G or A?
	// The conclusion may change with the answer A.
}
