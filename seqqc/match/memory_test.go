package match

import (
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/refs/phylogeny"
	"forayseq/seqqc"
)

// releases gives three releases of an invented library: from one to the next
// records come in, go, get another label or another sequence, and the order is
// another.
func releases(t *testing.T, tree *phylogeny.Tree, rng *rand.Rand) []*refs.Library {
	t.Helper()
	type entry struct{ header, seq string }
	var all, out []entry
	for i := range tree.Len() {
		r := tree.Record(i)
		all = append(all, entry{r.Header, string(r.Seq)})
	}
	var libs []*refs.Library
	for release := range 3 {
		out = out[:0]
		for i := range all {
			switch u := rng.IntN(100); {
			case i%10 == 9 && release < 2 && i%3 >= release: // comes in later
				continue
			case u < 1 && release > 0:
				continue
			case u < 3 && release > 0: // the label of another record
				_, label, _ := strings.Cut(all[rng.IntN(len(all))].header, " ")
				id, _, _ := strings.Cut(all[i].header, " ")
				all[i].header = id + " " + label
			case u < 4 && release > 0:
				all[i].seq = all[i].seq[5:]
			}
			out = append(out, all[i])
		}
		if release == 2 {
			rng.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
		}
		var fasta strings.Builder
		for _, e := range out {
			fmt.Fprintf(&fasta, ">%s\n%s\n", e.header, e.seq)
		}
		lib, err := refs.Read(strings.NewReader(fasta.String()), refs.ReadOptions{})
		require.NoError(t, err)
		libs = append(libs, lib)
	}
	return libs
}

// What is remembered of one release gives for the next what searching that
// gives, for every kind of query, and from release to release.
func TestMemoryGivesWhatASearchGives(t *testing.T) {
	each, records := 1, 150
	if os.Getenv("FORAYSEQ_LONG") != "" {
		each, records = 6, 600
	}
	// Few genera lie close together, where ties and windows are.
	for seed, genera := range []int{0, 5} {
		rng := rand.New(rand.NewPCG(uint64(seed), 5))
		tree := phylogeny.New(phylogeny.Shape{Records: records, Seed: 20 + uint64(seed), Genera: genera})
		libs := releases(t, tree, rng)
		var contigs []*seqqc.Contig
		var fields []refs.Name
		for _, k := range phylogeny.Kinds {
			for i := range each {
				q := tree.Query(k, i)
				c := &seqqc.Contig{Bases: q.Seq, Region: seqqc.Region{
					Located: true, ITS1: seqqc.Interval(q.ITS1), R58S: seqqc.Interval(q.R58S), ITS2: seqqc.Interval(q.ITS2),
					ITS1Whole: !q.ITS1.Empty(), ITS2Whole: !q.ITS2.Empty(),
				}}
				near := libs[0].Record(q.Near % libs[0].Len()).Name
				if i%2 == 1 {
					near = libs[0].Record(rng.IntN(libs[0].Len())).Name
				}
				contigs, fields = append(contigs, c), append(fields, near)
			}
		}
		var keys []uint64
		var known map[refs.SearchKey]refs.Answer
		for release, lib := range libs {
			if release == 1 {
				lib.TakeNames(refs.NewNames([]refs.Change{{Name: species(lib, 3), Accepted: species(lib, lib.Len()/3), Kind: refs.Synonym}}))
			}
			p := Defaults()
			p.Memory = NewMemory(lib, keys, known)
			answered, kept := 0, 0
			next := map[refs.SearchKey]refs.Answer{}
			for i, c := range contigs {
				want, err := Match(t.Context(), lib, c, fields[i], Defaults())
				require.NoError(t, err)
				got, err := Match(t.Context(), lib, c, fields[i], p)
				require.NoError(t, err)
				require.Equal(t, want, got, "release %d, contig %d", release, i)
				for key, a := range p.Memory.Take() {
					next[key] = a
					if old, is := known[key]; is {
						answered++
						if stillThere(p.Memory, old) {
							kept++
						}
					}
				}
			}
			t.Logf("release %d: %d records, %d of them new; %d of %d searches were made before, %d without the library", release, lib.Len(), len(p.Memory.at), answered, len(next), kept)
			if release > 0 {
				require.Greater(t, kept, len(next)/3, "the memory is used")
				require.NotEmpty(t, p.Memory.at)
			}
			keys, known = p.Memory.Keys(), next
		}
	}
}

func stillThere(m *Memory, a refs.Answer) bool {
	for _, key := range a.Records {
		if _, is := m.records[key]; !is {
			return false
		}
	}
	return true
}

// species gives the first name of a species from a record on.
func species(lib *refs.Library, from int) string {
	for ; ; from++ {
		if n := lib.Record(from).Name; n.CertainSpecies() {
			return n.Binomial()
		}
	}
}
