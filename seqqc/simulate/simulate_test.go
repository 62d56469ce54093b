package simulate

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
	"forayseq/seqqc"
)

func newRand(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 7)) }

// Every call must sit inside the trace, in order, with the quality range of
// the caller, and the four channels must be of one length.
func requireSound(t *testing.T, tr *seqqc.Trace) {
	t.Helper()
	require.Len(t, tr.Quals, len(tr.Bases))
	require.Len(t, tr.Peaks, len(tr.Bases))
	for _, ch := range tr.Channels {
		require.Len(t, ch, len(tr.Channels[0]))
		for _, v := range ch {
			require.True(t, v >= 0 && v < 1<<15, "a 16-bit file could not hold %d", v)
		}
	}
	for i, p := range tr.Peaks {
		require.True(t, p >= 0 && p < len(tr.Channels[0]))
		require.True(t, i == 0 || p > tr.Peaks[i-1])
		require.True(t, tr.Quals[i] >= 2 && tr.Quals[i] <= 62)
		require.Equal(t, tr.Quals[i] < nBelow, tr.Bases[i] == 'N')
	}
}

// Past the poor start, a good read of a random template is its template.
func TestGoodReadIsItsTemplate(t *testing.T) {
	for seed := range uint64(20) {
		rng := newRand(seed)
		template := RandomSequence(rng, 650)
		tr, truth := Mixture(rng, []Template{{template, 1}}, Good())
		requireSound(t, tr)
		require.Len(t, truth.Template, len(tr.Bases))
		for i := range tr.Bases {
			if at := truth.Template[i]; at >= 40 && at < 600 {
				require.Equal(t, string(template[at]), string(tr.Bases[i]), "seed %d, call %d", seed, i)
				require.Equal(t, truth.Template[i-1]+1, at, "seed %d: a base missed or doubled before call %d", seed, i)
			}
		}
	}
}

// A run of equal bases must come out at its length: the caller counts it by
// the spacing.
func TestRunsOfOneBase(t *testing.T) {
	rng := newRand(3)
	template := slices.Concat(RandomSequence(rng, 200), []byte("CAAAAAAAAG"), RandomSequence(rng, 50),
		[]byte("GTTTTTTTTTTC"), RandomSequence(rng, 200))
	tr := Read(rng, template, Good())
	require.Contains(t, string(tr.Bases), "CAAAAAAAAG")
	require.Contains(t, string(tr.Bases), "GTTTTTTTTTTC")
}

// second gives the second highest channel at a call over the highest.
func second(tr *seqqc.Trace, i int) float64 {
	var v []int32
	for _, ch := range tr.Channels {
		v = append(v, ch[tr.Peaks[i]])
	}
	slices.Sort(v)
	return float64(v[2]) / max(1, float64(v[3]))
}

func TestAmbiguityCodeIsADoublePeak(t *testing.T) {
	rng := newRand(4)
	template := RandomSequence(rng, 400)
	template[250] = 'R'
	tr, truth := Mixture(rng, []Template{{template, 1}}, Good())
	i := slices.Index(truth.Template, 250)
	require.Positive(t, i)
	require.Contains(t, "AG", string(tr.Bases[i]))
	require.Greater(t, second(tr, i), 0.7)
	require.Less(t, second(tr, i-8), 0.2)
	require.Less(t, tr.Quals[i], tr.Quals[i-8])
	require.False(t, truth.Error(i, tr.Bases[i], template))
}

// Two alleles of which one lacks two bases: one peak before, two behind.
func TestIndelDoublesThePeaksBehindIt(t *testing.T) {
	rng := newRand(5)
	long := RandomSequence(rng, 500)
	short := slices.Concat(long[:250], long[252:])
	tr, truth := Mixture(rng, []Template{{long, 0.6}, {short, 0.4}}, Good())
	requireSound(t, tr)
	doubled := func(from, to int) (n int) {
		for i, at := range truth.Template {
			if at >= from && at < to && second(tr, i) > 0.4 {
				n++
			}
		}
		return n
	}
	require.Less(t, doubled(60, 245), 5)
	// Three in four bases differ from the one two places on.
	require.Greater(t, doubled(260, 450), 100)
}

func TestHeaviestTemplateIsCalled(t *testing.T) {
	rng := newRand(6)
	light, heavy := RandomSequence(rng, 450), RandomSequence(rng, 450)
	tr, truth := Mixture(rng, []Template{{light, 0.15}, {heavy, 0.85}}, Good())
	wrong := 0
	for i := range tr.Bases {
		if at := truth.Template[i]; at >= 50 && at < 400 && truth.Error(i, tr.Bases[i], heavy) {
			wrong++
		}
	}
	require.Less(t, wrong, 4)
}

func TestNothingToSequence(t *testing.T) {
	for name, templates := range map[string][]Template{
		"no template": nil, "empty template": {{nil, 1}}, "no weight": {{[]byte("ACGT"), 0}},
		"no letters": {{[]byte("----"), 1}},
	} {
		tr, truth := Mixture(newRand(7), templates, Failed())
		requireSound(t, tr)
		require.NotEmpty(t, tr.Bases, name)
		for _, at := range truth.Template {
			require.Equal(t, -1, at, name)
		}
	}
	tr, _ := Mixture(newRand(7), nil, Params{})
	require.Empty(t, tr.Bases)
}

// Templates and runs of a few bases are still reads.
func TestTinyReads(t *testing.T) {
	for n := range 12 {
		rng := newRand(uint64(20 + n))
		tr, truth := Mixture(rng, []Template{{RandomSequence(rng, n), 1}}, Good())
		requireSound(t, tr)
		require.Len(t, truth.Template, len(tr.Bases))
		p := Failed()
		p.MaxBases = n
		requireSound(t, Read(rng, nil, p))
	}
}

// The digest holds the simulator to the same bytes on every machine and with
// every compiler; it changes with the model, and then testdata/demo must be
// rewritten as well.
func TestSameBytesEverywhere(t *testing.T) {
	rng := newRand(8)
	template := RandomSequence(rng, 500)
	h := sha256.New()
	for _, p := range []Params{Good(), Poor(), Failed()} {
		tr := Read(rng, template, p)
		h.Write(tr.Bases)
		h.Write(tr.Quals)
		for _, ch := range tr.Channels {
			require.NoError(t, binary.Write(h, binary.BigEndian, ch))
		}
	}
	require.Equal(t, pinned, hex.EncodeToString(h.Sum(nil)))
}

const pinned = "dd0264f7eae89925466ea4e049e8b5a6faffea6b449a21a0547c6cb7b39369e8"

func TestLocus(t *testing.T) {
	rng := newRand(9)
	l := NewLocus(rng, 210, 200)
	require.Len(t, l.ITS(), 210+len(fungus58S)+200)
	for _, locus := range []Locus{l, l.Plant(), l.Evolve(rng, 0.3)} {
		seq := locus.Seq()
		require.Equal(t, -1, align.Invalid(seq))
		for _, pair := range [][2]string{{"ITS1-F", "ITS4"}, {"ITS5", "ITS2"}, {"ITS1", "ITS4"}, {"LR0R", "LR5"}} {
			if pair[1] == "ITS2" && string(locus.R58S) == plant58S {
				continue // this primer does not fit the plant's 5.8S at one base
			}
			f, r, err := Amplicon(seq, pair[0], pair[1])
			require.NoError(t, err, pair)
			p, _ := seqqc.PrimerByName(pair[0])
			q, _ := seqqc.PrimerByName(pair[1])
			// Either strand ends in the other primer's site; with its own
			// primer put in front it is the other strand's complement.
			require.Equal(t, p.Seq+string(f), string(align.ReverseComplement([]byte(q.Seq+string(r)))), pair)
		}
	}
	// Motifs of Harpke & Peterson 2008 as codes; a change within the primer
	// sites would break the pairs above.
	for _, motif := range []string{"CGATGAAGAACGYAGC", "GAATTGCAGAAWYC", "TTTGAAYGCA"} {
		for _, gene := range []string{fungus58S, plant58S} {
			require.True(t, matches(gene, motif), "%s in %s", motif, gene)
		}
	}
}

func matches(seq, motif string) bool {
	for i := 0; i+len(motif) <= len(seq); i++ {
		fits := true
		for k := range len(motif) {
			fits = fits && align.Mask(seq[i+k])&align.Mask(motif[k]) != 0
		}
		if fits {
			return true
		}
	}
	return false
}

func TestAmpliconWithoutSite(t *testing.T) {
	for _, c := range []struct{ seq, f, r, want string }{
		{"ACGT", "ITS1-F", "ITS4", "no site of the primer ITS1-F"},
		{ssuEnd + "ACGT", "ITS1-F", "ITS4", "no site of the primer ITS4"},
		{ssuEnd, "ITS4", "ITS1-F", "no pair"},
		{ssuEnd, "nothing", "ITS4", "no pair"},
	} {
		_, _, err := Amplicon([]byte(c.seq), c.f, c.r)
		require.ErrorContains(t, err, c.want)
	}
}

// Evolve must change spacers at the rate asked for: the share of identical
// columns falls by about the rate (a deletion of n bases costs n columns).
func TestEvolveRate(t *testing.T) {
	rng := newRand(10)
	for _, rate := range []float64{0, 0.02, 0.1} {
		l := NewLocus(rng, 2000, 2000)
		e := l.Evolve(rng, rate)
		al, err := align.Overlap(l.ITS1, e.ITS1, align.ITS)
		require.NoError(t, err)
		c, err := al.Count(l.ITS1, e.ITS1)
		require.NoError(t, err)
		require.InDelta(t, 100*(1-rate), c.IdentityPct(), 40*rate, "rate %v", rate)
	}
}
