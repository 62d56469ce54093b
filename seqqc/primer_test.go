package seqqc_test

import (
	"bufio"
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
	"forayseq/seqqc"
)

func TestPrimerTable(t *testing.T) {
	seen := map[string]bool{}
	for _, list := range [][]seqqc.Primer{seqqc.Primers, seqqc.Tails} {
		for _, p := range list {
			require.NotEmpty(t, p.Source, p.Name)
			require.NotEqual(t, seqqc.UnknownDirection, p.Direction, p.Name)
			require.Equal(t, -1, align.Invalid([]byte(strings.ReplaceAll(p.Seq, "I", "N"))), p.Name)
			for _, name := range append([]string{p.Name}, p.Aliases...) {
				got, ok := seqqc.PrimerByName(name)
				require.True(t, ok, name)
				require.Equal(t, p.Name, got.Name)
			}
			require.False(t, seen[p.Name], p.Name)
			seen[p.Name] = true
		}
	}
}

func TestPrimerByName(t *testing.T) {
	for name, want := range map[string]string{
		"ITS1F": "ITS1-F", "its1-f": "ITS1-F", "ITS1_F": "ITS1-F", "ITS1": "ITS1", "its 4": "ITS4",
		"ITS4B": "ITS4-B", "LROR": "LR0R", "lr0r": "LR0R", "M13(-21)": "M13F", "M13-21": "M13F",
		"": "", "-": "", "ITS": "", "ITS44": "", "1": "",
	} {
		p, ok := seqqc.PrimerByName(name)
		require.Equal(t, want != "", ok, name)
		require.Equal(t, want, p.Name, name)
	}
}

// ITS3 is ITS2 on the other strand (White et al. 1990, table 1).
func TestITS3IsITS2(t *testing.T) {
	its2, _ := seqqc.PrimerByName("ITS2")
	its3, _ := seqqc.PrimerByName("ITS3")
	require.Equal(t, its3.Seq, string(align.ReverseComplement([]byte(its2.Seq))))
}

// The numbers of published macrofungal ITS sequences (TreeBASE; 4,276 records)
// that hold a primer's site exactly were counted apart from this table. A
// wrong letter in a primer would give none.
func TestPrimerSitesInPublishedSequences(t *testing.T) {
	dir := os.Getenv("FORAYSEQ_OPEN_DATA")
	if dir == "" {
		t.Skip("FORAYSEQ_OPEN_DATA is not set")
	}
	f, err := os.Open(filepath.Join(dir, "its", "macrofungi_its.fasta"))
	require.NoError(t, err)
	defer func() { require.NoError(t, f.Close()) }()
	var seqs [][]byte
	lines := bufio.NewScanner(f)
	for lines.Scan() {
		line := bytes.ToUpper(bytes.TrimSpace(lines.Bytes()))
		switch {
		case bytes.HasPrefix(line, []byte(">")):
			seqs = append(seqs, nil)
		default:
			seqs[len(seqs)-1] = append(seqs[len(seqs)-1], line...)
		}
	}
	require.NoError(t, lines.Err())
	require.Len(t, seqs, 4276)
	for name, want := range map[string]int{"ITS4": 503, "ITS1": 763, "ITS5": 177, "ITS1-F": 48} {
		p, ok := seqqc.PrimerByName(name)
		require.True(t, ok)
		site := []byte(p.Seq)
		if p.Direction == seqqc.Reverse {
			site = align.ReverseComplement(site)
		}
		n := 0
		for _, s := range seqs {
			if bytes.Contains(s, site) {
				n++
			}
		}
		require.Equal(t, want, n, name)
	}
	// 3,894 hold GTGARTCATCGAATCTTTG (fITS7), and nearly all the site of
	// ITS3 but for one letter: CGATGAAGAACGYAGC in 4,166.
	fits7, _ := seqqc.PrimerByName("fITS7")
	require.Equal(t, 3894, countMatches(seqs, fits7.Seq))
	require.Equal(t, 4166, countMatches(seqs, "CGATGAAGAACGYAGC"))
	its3, _ := seqqc.PrimerByName("ITS3")
	require.Contains(t, its3.Seq, "CGATGAAGAACGCAGC")
}

// countMatches counts the sequences that hold a pattern of NC-IUB codes; a
// code of the sequence must lie wholly in that of the pattern.
func countMatches(seqs [][]byte, pattern string) int {
	n := 0
	for _, s := range seqs {
	places:
		for i := 0; i+len(pattern) <= len(s); i++ {
			for k := range len(pattern) {
				m := align.Mask(s[i+k])
				if m == 0 || m&^align.Mask(pattern[k]) != 0 {
					continue places
				}
			}
			n++
			break
		}
	}
	return n
}

func ExamplePrimerByName() {
	p, ok := seqqc.PrimerByName("its1f")
	fmt.Println(ok, p.Name, p.Seq, p.Direction)
	// Output: true ITS1-F CTTGGTCATTTAGAGGAAGTAA forward
}
