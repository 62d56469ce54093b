package trim

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
	"forayseq/seqqc"
	"forayseq/seqqc/simulate"
)

// seqOf gives the site of a primer as most fungi have it.
func seqOf(t *testing.T, primer string) string {
	t.Helper()
	p, ok := seqqc.PrimerByName(primer)
	require.True(t, ok, primer)
	if primer == "fITS9" {
		return "GAACGCAGCGAAATGCGA" // as fungi have it at GAACGCAGCRAAIIGYGA
	}
	return strings.ReplaceAll(p.Seq, "R", "A")
}

func rc(s string) string { return string(align.ReverseComplement([]byte(s))) }

// locus gives an invented locus with all the primer sites between ITS1-F and
// LR5, and the stretches between some of them.
func locus(t *testing.T) string {
	t.Helper()
	rng := rand.New(rand.NewPCG(4, 9))
	return string(simulate.NewLocus(rng, 180, 190).Seq())
}

// from gives seq from the first base of a forward primer's site, to that up
// to the last base of a reverse primer's site.
func from(t *testing.T, seq, primer string) string {
	t.Helper()
	i := strings.Index(seq, seqOf(t, primer))
	require.GreaterOrEqual(t, i, 0, primer)
	return seq[i:]
}

func to(t *testing.T, seq, primer string) string {
	t.Helper()
	site := rc(seqOf(t, primer))
	i := strings.Index(seq, site)
	require.GreaterOrEqual(t, i, 0, primer)
	return seq[:i+len(site)]
}

// clean gives a read of uniform quality.
func clean(bases string) *seqqc.Read {
	return &seqqc.Read{File: "x.ab1", Trace: &seqqc.Trace{
		Bases: []byte(bases), Quals: []byte(strings.Repeat("\x28", len(bases))),
	}}
}

func TestPrimersAreCutOnlyWhereTheAmpliconEnds(t *testing.T) {
	seq := locus(t)
	its := to(t, from(t, seq, "ITS1-F"), "ITS4")
	whole := to(t, from(t, seq, "ITS1-F"), "LR5")
	m13f, m13r := seqOf(t, "M13F"), seqOf(t, "M13R")
	f, r := seqqc.Forward, seqqc.Reverse
	unknown := seqqc.UnknownDirection
	first := len(seqOf(t, "ITS1-F"))

	for _, c := range []struct {
		name            string
		bases           string
		primer, partner string
		direction       seqqc.Direction
		start, end      string // primers cut, tail first; empty for none
		kept            string // what must be kept; empty: the whole read
	}{
		{"the usual read shows no own primer and ends at the other",
			its[first+15:], "ITS1-F", "ITS4", f, "", "ITS4", its[first+15 : len(its)-20]},
		{"own primer seen", its, "ITS1-F", "ITS4", f, "ITS1-F", "ITS4", its[22 : len(its)-20]},
		{"own primer behind junk", "GATTACA" + its, "ITS1-F", "ITS4", f, "ITS1-F", "ITS4", its[22 : len(its)-20]},
		{"own primer cut off", its[10:], "ITS1-F", "ITS4", f, "ITS1-F", "ITS4", its[22 : len(its)-20]},
		{"partner cut off", its[:len(its)-8], "ITS1-F", "ITS4", f, "ITS1-F", "ITS4", its[22 : len(its)-20]},
		{"partner not reached", its[:500], "ITS1-F", "ITS4", f, "ITS1-F", "", its[22:500]},
		{"partner not named", its, "ITS1-F", "", f, "ITS1-F", "ITS4", its[22 : len(its)-20]},
		{"ITS1 and ITS5 inside an ITS1-F read", its[5:], "ITS1-F", "ITS4", f, "ITS1-F", "ITS4", its[22 : len(its)-20]},
		{"the ITS1 site right behind the start of an ITS1-F read is genome",
			its[30:], "ITS1-F", "ITS4", f, "", "ITS4", its[30 : len(its)-20]},
		{"ITS4 and LR3 inside a read that goes on", whole, "ITS1-F", "", f, "ITS1-F", "LR5", whole[22 : len(whole)-17]},
		{"ITS4 inside a read of a longer amplicon", whole[:len(its)+60], "ITS1-F", "LR5", f, "ITS1-F", "", whole[22 : len(its)+60]},
		{"ITS4 inside, nothing named", whole[:len(its)+60], "", "", f, "ITS1-F", "", whole[22 : len(its)+60]},
		{"a read that ends right behind the ITS3 site", to(t, its, "ITS2"), "ITS1-F", "", f, "ITS1-F", "", to(t, its, "ITS2")[22:]},
		{"the same with ITS2 named as partner", to(t, its, "ITS2"), "ITS1-F", "ITS2", f, "ITS1-F", "ITS2", strings.TrimSuffix(to(t, its, "ITS2")[22:], rc(seqOf(t, "ITS2")))},
		{"an ITS3 read", from(t, its, "ITS3"), "ITS3", "ITS4", f, "ITS3", "ITS4", from(t, its, "ITS3")[20 : len(from(t, its, "ITS3"))-20]},
		{"an fITS7 read", from(t, its, "fITS7"), "fITS7", "ITS4", f, "fITS7", "ITS4", from(t, its, "fITS7")[19 : len(from(t, its, "fITS7"))-20]},
		{"an fITS9 read, inosine in the primer", from(t, its, "fITS9"), "fITS9", "ITS4", f, "fITS9", "ITS4", from(t, its, "fITS9")[18 : len(from(t, its, "fITS9"))-20]},
		{"an LR0R read", from(t, whole, "LR0R"), "LR0R", "LR5", f, "LR0R", "LR5", from(t, whole, "LR0R")[17 : len(from(t, whole, "LR0R"))-17]},
		{"a reverse read passes LR0R", rc(its), "ITS4", "ITS1-F", r, "ITS4", "ITS1-F", rc(its[22 : len(its)-20])},
		{"a reverse read, partner not named: the outermost of nested sites", rc(its), "ITS4", "", r, "ITS4", "ITS1-F", rc(its[22 : len(its)-20])},
		{"a reverse read of an ITS1 amplicon", rc(from(t, its, "ITS1")), "ITS4", "", r, "ITS4", "ITS1", rc(from(t, its, "ITS1")[19 : len(from(t, its, "ITS1"))-20])},
		{"a reverse read that ends in ITS1 passes ITS3", rc(its[100:]), "ITS4", "", r, "ITS4", "", rc(its[100 : len(its)-20])},
		{"nothing known, own primer seen", its, "", "", unknown, "ITS1-F", "ITS4", its[22 : len(its)-20]},
		{"nothing known, reverse", rc(its), "", "", unknown, "ITS4", "ITS1-F", rc(its[22 : len(its)-20])},
		{"nothing known, no own primer", its[30:], "", "", unknown, "", "ITS4", its[30 : len(its)-20]},
		{"nothing known, an inner stretch", its[100 : len(its)-100], "", "", unknown, "", "", ""},
		{"tails on both sides", m13f + its + rc(m13r), "M13F", "", f, "M13F ITS1-F", "ITS4 M13R", its[22 : len(its)-20]},
		{"tails, reverse", m13r + rc(its) + rc(m13f), "M13R", "M13F", r, "M13R ITS4", "ITS1-F M13F", rc(its[22 : len(its)-20])},
		{"tail with the primer named", m13f + its, "ITS1-F", "ITS4", f, "M13F ITS1-F", "ITS4", its[22 : len(its)-20]},
		{"tail cut off", m13f[6:] + its, "M13F", "ITS4", f, "M13F ITS1-F", "ITS4", its[22 : len(its)-20]},
		{"tail behind a primer nobody knows", m13f + its[200:400] + rc(m13r), "M13F", "M13R", f, "M13F", "M13R", its[200:400]},
		{"tail behind an inner primer", its[200:220] + to(t, its[220:], "ITS2") + rc(m13r), "", "", f, "", "ITS2 M13R",
			strings.TrimSuffix(to(t, its[200:], "ITS2"), rc(seqOf(t, "ITS2")))},
		{"an ITS5 read whose amplicon was made with ITS1-F", its, "ITS5", "ITS4", f, "ITS5", "ITS4", its[36 : len(its)-20]},
		{"a primer named wrongly", its, "ITS4", "", f, "", "ITS4", its[:len(its)-20]},
		{"a name nobody knows", its[60:], "FunF2", "FunR9", f, "", "ITS4", its[60 : len(its)-20]},
	} {
		t.Run(c.name, func(t *testing.T) {
			read := clean(c.bases)
			read.Primer, read.Partner, read.Direction = c.primer, c.partner, c.direction
			require.NoError(t, Trim(read, Defaults()))
			want := c.kept
			if want == "" {
				want = c.bases
			}
			require.Equal(t, want, c.bases[read.Kept.Start:read.Kept.End])
			var start, end []string
			for _, s := range read.Primers {
				switch {
				case !s.Cut:
				case s.Reverse:
					end = append(end, s.Primer)
				default:
					start = append(start, s.Primer)
				}
			}
			require.Equal(t, c.start, strings.Join(start, " "))
			require.Equal(t, c.end, strings.Join(end, " "))
		})
	}
}

func TestOwnPrimerTellsTheDirection(t *testing.T) {
	its := to(t, from(t, locus(t), "ITS1-F"), "ITS4")
	read := clean(rc(its))
	require.NoError(t, Trim(read, Defaults()))
	require.Equal(t, seqqc.Reverse, read.Direction)
	require.Equal(t, []string{"taken as a reverse read: it begins with primer ITS4"}, read.Notes)

	// Trimming again changes nothing.
	again := *read
	require.NoError(t, Trim(&again, Defaults()))
	require.Equal(t, *read, again)

	read = clean(its[100:])
	require.NoError(t, Trim(read, Defaults()))
	require.Equal(t, seqqc.UnknownDirection, read.Direction)
}

func TestSitesAllowMismatches(t *testing.T) {
	p, _ := seqqc.PrimerByName("ITS4")
	site := []byte(p.Seq)
	for _, c := range []struct {
		name   string
		change map[int]byte
		want   int // mismatches, -1 for no site
	}{
		{"exact", nil, 0},
		{"one", map[int]byte{3: 'A'}, 1},
		{"two", map[int]byte{3: 'A', 19: 'G'}, 2},
		{"three", map[int]byte{3: 'A', 10: 'C', 19: 'G'}, -1},
		{"codes that hold the base", map[int]byte{3: 'Y', 7: 'S', 19: 'M', 0: 'B'}, 0},
		{"too many codes", map[int]byte{3: 'Y', 7: 'S', 19: 'M', 0: 'B', 1: 'S'}, -1},
		{"N says nothing", map[int]byte{3: 'N', 7: 'N'}, 2},
		{"three N", map[int]byte{3: 'N', 7: 'N', 9: 'N'}, -1},
	} {
		s := append([]byte("AAAA"), site...)
		for k, v := range c.change {
			s[4+k] = v
		}
		found := find(s, p, false)
		if c.want < 0 {
			require.Empty(t, found, c.name)
			continue
		}
		require.Len(t, found, 1, c.name)
		require.Equal(t, seqqc.Interval{Start: 4, End: 24}, found[0].at)
		require.Equal(t, c.want, found[0].mismatches, c.name)
	}
}

// Random reads hold false sites about as often as the comment of
// basesPerMismatch says, once in a thousand, and lose nothing by them unless
// they lie at an end.
func TestFalseSitesAreRare(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 9))
	n, reads := 0, 1000
	if testing.Short() {
		reads = 200
	}
	for range reads {
		n += len(allSites(simulate.RandomSequence(rng, 700)))
	}
	t.Logf("%d false sites in %d random reads of 700 bases", n, reads)
	require.Less(t, n, reads/100)
}
