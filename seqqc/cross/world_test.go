package cross_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/cross"
	"forayseq/seqqc/simulate"
)

// kinds is what the specimens of an invented batch can be. Every name and
// sequence is synthetic.
type kinds struct {
	species []species
	weights []float64 // cumulated
}

type species struct {
	genus, binomial, family string
	locus                   simulate.Locus
}

// newKinds invents genera of one to five species, in 15 families. Frequencies fall as 1/rank, as
// those of genera in a foray's list do (common practice, no source).
func newKinds(rng *rand.Rand, genera int) kinds {
	var k kinds
	sum := 0.0
	for g := range genera {
		genus := fmt.Sprintf("Syngenus%c%c", 'a'+g/26, 'a'+g%26)
		root := simulate.NewLocus(rng, 180+rng.IntN(80), 160+rng.IntN(80))
		n := 1 + rng.IntN(5)
		for s := range n {
			k.species = append(k.species, species{genus, fmt.Sprintf("%s syn%c", genus, 'a'+s), fmt.Sprintf("Synfamily%d", g%15), root.Evolve(rng, 0.04)})
			sum += 1 / float64(g+3) / float64(n)
			k.weights = append(k.weights, sum)
		}
	}
	return k
}

func (k kinds) draw(rng *rand.Rand) species {
	u := rng.Float64() * k.weights[len(k.weights)-1]
	for i, w := range k.weights {
		if u < w {
			return k.species[i]
		}
	}
	return k.species[len(k.species)-1]
}

// errors are the rates of what goes wrong in a batch besides the pattern that is
// looked for.
type errors struct{ genus, species, silent float64 }

// usual are the rates in the measured batches (assumed, no source).
var usual = errors{genus: 0.04, species: 0.08, silent: 0.06}

// world is an invented batch under work.
type world struct {
	rng     *rand.Rand
	kinds   kinds
	batch   cross.Batch
	isClean []bool // label and DNA belong together
}

// newWorld invents n specimens in wells of full plates, column by column.
func newWorld(rng *rand.Rand, k kinds, n int, e errors) *world {
	w := &world{rng: rng, kinds: k}
	for i := range n {
		s := k.draw(rng)
		label, clean := s.binomial, true
		switch u := rng.Float64(); {
		case u < e.genus:
			for label = s.binomial; name(label).Genus == s.genus; {
				label = k.draw(rng).binomial
			}
			clean = false
		case u < e.genus+e.species:
			for _, o := range k.species {
				if o.genus == s.genus && o.binomial != s.binomial {
					label, clean = o.binomial, false
				}
			}
		}
		switch u := rng.Float64(); {
		case u < 0.25:
			label = name(label).Genus + " sp."
		case u < 0.3:
			label = ""
		}
		w.add(label, fmt.Sprintf("%c%02d", 'A'+i%8, i/8%12+1))
		if rng.Float64() >= e.silent {
			w.put(i, w.dna(s))
		}
		w.isClean = append(w.isClean, clean)
	}
	w.batch.Fits = w.fits
	return w
}

// add adds a voucher without DNA.
func (w *world) add(label, well string) {
	v := seqqc.Voucher{Code: fmt.Sprintf("X-%03d", len(w.batch.Vouchers)+1), FieldID: label, Field: name(label), Kind: seqqc.Specimen}
	v.Samples = []seqqc.Sample{{PCRWell: well, SeqWell: well}}
	w.batch.Vouchers = append(w.batch.Vouchers, seqqc.VoucherResult{Voucher: v, Chosen: -1, Samples: []seqqc.SampleResult{{Sample: v.Samples[0]}}})
}

// name understands a label of an invented genus, which no list knows.
func name(label string) refs.Name {
	n := refs.Name{Verbatim: label}
	genus, rest, _ := strings.Cut(label, " ")
	switch {
	case label == "":
	case strings.HasPrefix(label, "Synfamily"):
		n.Higher, n.Rank = label, refs.Family
	case rest == "sp.":
		n.Genus, n.Rank, n.Doubt = genus, refs.Genus, refs.DoubtSp
	default:
		n.Genus, n.Epithet, n.Rank = genus, rest, refs.Species
	}
	return n
}

// dna is that of one collection of a species: with a base changed now and then.
func (w *world) dna(s species) seqqc.SampleResult {
	l := s.locus.Evolve(w.rng, 0.0005)
	c := &seqqc.Contig{Bases: l.ITS(), Region: seqqc.Region{Located: true, ITS1Whole: true, ITS2Whole: true}}
	c.Region.ITS1.End = len(l.ITS1)
	c.Region.R58S = seqqc.Interval{Start: c.Region.ITS1.End, End: c.Region.ITS1.End + len(l.R58S)}
	c.Region.ITS2 = seqqc.Interval{Start: c.Region.R58S.End, End: len(c.Bases)}
	return seqqc.SampleResult{Contig: c, Match: matchOf(s)}
}

func matchOf(s species) *seqqc.Match {
	return &seqqc.Match{Supported: refs.Species, Taxon: s.binomial,
		Lineage: refs.Lineage{Kingdom: "Fungi", Family: s.family, Genus: s.genus, Species: s.binomial}}
}

// put gives a voucher's first sample DNA.
func (w *world) put(v int, s seqqc.SampleResult) {
	x := &w.batch.Vouchers[v]
	x.Samples[0].Contig, x.Samples[0].Match, x.Chosen = s.Contig, s.Match, 0
	if s.Match == nil {
		x.Chosen = -1
	}
}

// fits is what package verdict says, as far as these names need it.
func (w *world) fits(m *seqqc.Match, v int) cross.Fit {
	field := w.batch.Vouchers[v].Voucher.Field
	switch {
	case field.Higher != "":
		if field.Higher == m.Lineage.Family {
			return cross.Inside
		}
		return cross.Apart
	case field.Genus == "" || m.Supported < refs.Genus:
		return cross.Untold
	case field.Genus != m.Lineage.Genus:
		if w.familyOf(field.Genus) == m.Lineage.Family {
			return cross.OtherGenus
		}
		return cross.Apart
	case !field.CertainSpecies() || m.Supported < refs.Species:
		return cross.Inside
	case field.Binomial() == m.Lineage.Species:
		return cross.SameSpecies
	}
	return cross.OtherSpecies
}

func (w *world) familyOf(genus string) string {
	for _, s := range w.kinds.species {
		if s.genus == genus {
			return s.family
		}
	}
	return ""
}

// move puts the DNA of vouchers list[i] under voucher list[i+1], that of the
// last under the first.
func (w *world) move(list ...int) {
	last := w.batch.Vouchers[list[len(list)-1]].Samples[0]
	for i := len(list) - 1; i > 0; i-- {
		w.put(list[i], w.batch.Vouchers[list[i-1]].Samples[0])
	}
	w.put(list[0], last)
	for _, v := range list {
		w.isClean[v] = false
	}
}

// rightVouchers draws n vouchers of different genera with DNA that fits a name
// at genus or below.
func (w *world) rightVouchers(n int) []int {
	var out []int
	genera := map[string]bool{}
	for _, v := range w.rng.Perm(len(w.batch.Vouchers)) {
		g := w.batch.Vouchers[v].Voucher.Field.Genus
		if s := w.batch.Vouchers[v].ChosenSample(); s != nil && w.isClean[v] && g != "" && !genera[g] {
			genera[g] = true
			if out = append(out, v); len(out) == n {
				break
			}
		}
	}
	return out
}

func compare(t testing.TB, b cross.Batch) cross.Found {
	t.Helper()
	found, err := cross.Compare(t.Context(), b, cross.Defaults())
	require.NoError(t, err)
	require.Len(t, found.Findings, len(b.Vouchers))
	for _, list := range found.Findings {
		for _, f := range list {
			require.Equal(t, seqqc.AskNothing, f.Question)
			require.Empty(t, f.Verdict)
			require.NotEmpty(t, f.Rule)
			require.NotEmpty(t, f.Reason)
			require.NotEmpty(t, f.NextStep)
		}
	}
	return found
}

// of gives the patterns of a kind that count as found.
func of(f cross.Found, p seqqc.Pattern) []seqqc.Between {
	var out []seqqc.Between
	for _, b := range f.Between {
		if b.Pattern == p && (b.Flag != "" || p == seqqc.PatternSplitName) {
			out = append(out, b)
		}
	}
	return out
}
