package verdict

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/seqqc"
)

// TestNewCase takes habits and places from the built-in genus table.
func TestNewCase(t *testing.T) {
	lib := refs.NewLibrary([]refs.Record{
		{ID: "SYN1", Name: refs.ParseName("Russula emetica"), Seq: []byte("ACGT")},
		{ID: "SYN2", Name: refs.ParseName("Russula nobilis"), Seq: []byte("ACGA")},
		{ID: "SYN3", Name: refs.ParseName("Lactarius deliciosus"), Seq: []byte("ACGG")},
	}, nil)
	long := &seqqc.Contig{Bases: bytes.Repeat([]byte("ACGTTGCATT"), 40)}
	samples := func(m *seqqc.Match) []seqqc.SampleResult {
		return []seqqc.SampleResult{{}, {Contig: long, Match: m}, {Contig: long}}
	}
	of := func(name string, m *seqqc.Match) Case {
		c, err := NewCase(lib, seqqc.Voucher{Code: "V1", Field: refs.ParseName(name)}, samples(m), Defaults())
		require.NoError(t, err)
		return c
	}
	c := of("Russula cf. emetica", nil)
	require.Equal(t, 1, c.Chosen)
	require.Equal(t, 100., c.SampleIdentityPct)
	require.True(t, c.Field.Known)
	require.Equal(t, 2, c.Field.Records)
	require.Equal(t, "Russulaceae", c.Field.Lineage.Family)
	require.Equal(t, refs.Mushroom, c.Field.Habit)
	require.Empty(t, c.DNAHabit)

	c = of("Russulaceae", nil)
	require.True(t, c.Field.Known)
	require.Equal(t, 3, c.Field.Records)
	require.Equal(t, refs.Family, c.Field.Name.Rank)
	require.Equal(t, "Russulales", c.Field.Lineage.Order)

	c = of("Amanita", nil)
	require.True(t, c.Field.Known, "the built-in table has it, the library not")
	require.Zero(t, c.Field.Records)
	require.False(t, of("Rusula", nil).Field.Known)
	require.False(t, of("", nil).Field.Known)

	require.Equal(t, refs.Mould, of("Russula", &seqqc.Match{
		Supported: refs.Genus, Taxon: "Penicillium", Lineage: refs.Lineage{Genus: "Penicillium"},
	}).DNAHabit)
	order := func(genera ...string) *seqqc.Match {
		m := &seqqc.Match{Supported: refs.Order, Taxon: "Eurotiales", InWindow: len(genera)}
		for _, g := range genera {
			m.Hits = append(m.Hits, seqqc.Hit{Lineage: refs.Lineage{Genus: g}})
		}
		return m
	}
	require.Equal(t, refs.Mould, of("Russula", order("Penicillium", "", "Aspergillus")).DNAHabit)
	require.Empty(t, of("Russula", order("Penicillium", "Elaphomyces")).DNAHabit, "not all of them overgrow")
}

func TestNewCaseNamesTheVoucher(t *testing.T) {
	bad := bytes.Repeat([]byte("ACGTTGCATT"), 40)
	bad[7] = '*'
	_, err := NewCase(refs.NewLibrary(nil, nil), seqqc.Voucher{Code: "V9"},
		[]seqqc.SampleResult{{Contig: &seqqc.Contig{Bases: bad}}, {Contig: &seqqc.Contig{Bases: bad}}}, Defaults())
	require.ErrorContains(t, err, "V9")
}
