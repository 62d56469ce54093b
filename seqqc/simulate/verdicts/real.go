package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"forayseq/refs"
	"forayseq/refs/fieldguide"
	"forayseq/seqqc"
	"forayseq/seqqc/batch"
)

// doubted are the records of the published set that are left out. The sequences
// of some contradict their names: TB03410, named Russula, is a Lactarius, and what
// one study calls Boletus spadiceus stands as Xerocomus in the others (78 % from
// any Boletus). Others are no ITS: pieces of the LSU joined to the 5.8S, as
// 'forayseq refs check' tells.
var doubted = []string{
	"TB03410", "TB02601", "TB02602", "TB02603", "TB02604", "TB02605", "TB02606", "TB02607", "TB02608",
	"TB00661", "TB00662", "TB02654", "TB02655", "TB02656", "TB02657", "TB02658", "TB02659", "TB02660",
}

// published is one published sequence.
type published struct {
	id, genus, species string
	lineage            refs.Lineage
	seq                []byte
}

// readPublished reads the published sequences whose genus the built-in tables
// place (TreeBASE by way of supertreebase at d9efa865; its README names the
// studies).
func readPublished(folder string) (all []published, err error) {
	f, err := os.Open(filepath.Join(folder, "its", "macrofungi_its.fasta"))
	if err != nil {
		return nil, err
	}
	lib, err := refs.Read(bufio.NewReader(f), refs.ReadOptions{})
	if err := errors.Join(err, f.Close()); err != nil {
		return nil, err
	}
	t, err := os.Open(filepath.Join(folder, "its", "macrofungi_its.tsv"))
	if err != nil {
		return nil, err
	}
	r := csv.NewReader(t)
	r.Comma, r.LazyQuotes = '\t', true
	rows, err := r.ReadAll()
	if err := errors.Join(err, t.Close()); err != nil {
		return nil, err
	}
	id, genus := slices.Index(rows[0], "id"), slices.Index(rows[0], "genus")
	genera := map[string]string{}
	for _, row := range rows[1:] {
		genera[row[id]] = row[genus]
	}
	for _, rec := range lib.All() {
		if slices.Contains(doubted, rec.ID) {
			continue
		}
		g := genera[rec.ID]
		lineage, ok := lib.Taxonomy.Lookup(g)
		if !ok || lineage.Family == "" || lineage.Order == "" {
			continue
		}
		all = append(all, published{rec.ID, g, rec.Name.Epithet, lineage, rec.Seq})
	}
	return all, nil
}

// stratum is a way to be named wrongly: may says which genus may be put in the
// place of another.
type stratum struct {
	name string
	may  func(is, wrong refs.Lineage) bool
}

var strata = []stratum{
	{"right name", nil},
	{"genus of the family", func(a, b refs.Lineage) bool { return a.Family == b.Family && a.Genus != b.Genus }},
	{"other family", func(a, b refs.Lineage) bool { return a.Order == b.Order && a.Family != b.Family }},
	{"other order", func(a, b refs.Lineage) bool { return a.Order != b.Order }},
}

// stratumCounts is what came of the queries under the names of one stratum.
type stratumCounts struct {
	name                   string
	queries                int
	kinds                  map[seqqc.VerdictKind]int
	conflicts, apartAgrees count
}

// measureReal measures verdicts and labels on published sequences, number of
// each.
func measureReal(ctx context.Context, folder string, number int, seed uint64) ([]stratumCounts, labels, error) {
	list, err := testPublished(ctx, folder, number, seed)
	if err != nil {
		return nil, labels{}, err
	}
	all, err := readPublished(folder)
	if err != nil {
		return nil, labels{}, err
	}
	l, err := relabelled(ctx, all, number, rand.New(rand.NewPCG(seed, 6)))
	return list, l, err
}

// testPublished holds number sequences of at most a dozen a genus out of the
// library and tests them under their own and under wrong names. As a wrong genus
// serves one with at least two species left in the library, and none that is
// known to have been one with the right one.
func testPublished(ctx context.Context, folder string, number int, seed uint64) ([]stratumCounts, error) {
	all, err := readPublished(folder)
	if err != nil {
		return nil, err
	}
	rng := rand.New(rand.NewPCG(seed, 5))
	rng.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	queries, library := holdOut(all, number)
	var out []stratumCounts
	for _, s := range strata {
		c, err := testStratum(ctx, s, queries, library, rng)
		if err != nil {
			return nil, err
		}
		out = append(out, c)
	}
	return out, nil
}

// holdOut takes up to number sequences whose genus keeps two species.
func holdOut(all []published, number int) (queries, library []published) {
	const perGenus = 12
	taken := map[string]int{}
	for _, p := range all {
		if len(queries) < number && taken[p.genus] < perGenus && len(p.seq) >= 400 && speciesOf(all, p.genus) >= 4 {
			taken[p.genus]++
			queries = append(queries, p)
			continue
		}
		library = append(library, p)
	}
	return queries, library
}

func speciesOf(all []published, genus string) int {
	seen := map[string]bool{}
	for _, p := range all {
		if p.genus == genus && p.species != "" {
			seen[p.species] = true
		}
	}
	return len(seen)
}

func testStratum(ctx context.Context, s stratum, queries, library []published, rng *rand.Rand) (stratumCounts, error) {
	c := stratumCounts{name: s.name, kinds: map[seqqc.VerdictKind]int{}}
	var names, fasta []string
	for _, q := range queries {
		name := q.genus
		if s.may != nil {
			if name = wrongGenus(q, library, s, rng); name == "" {
				continue
			}
		}
		code := fmt.Sprintf("RV-%04d", len(names)+1)
		names = append(names, name)
		fasta = append(fasta, fmt.Sprintf(">%s\n%s\n", code, q.seq))
	}
	if len(names) == 0 {
		return c, nil
	}
	dir, err := os.MkdirTemp("", "verdicts")
	if err != nil {
		return c, err
	}
	defer func() { _ = os.RemoveAll(dir) }() // what is left of a temporary folder harms nobody
	if err := os.Mkdir(filepath.Join(dir, batch.ReadsName), 0o755); err != nil {
		return c, err
	}
	sheet := "voucher,field_id\n"
	files := map[string][]byte{batch.RefsName: libraryOf(library, nil)}
	for i, name := range names {
		code := fmt.Sprintf("RV-%04d", i+1)
		sheet += fmt.Sprintf("%s,%s sp.\n", code, name)
		files[filepath.Join(batch.ReadsName, code+".fasta")] = []byte(fasta[i])
	}
	files[batch.SheetName] = []byte(sheet)
	for path, text := range files {
		if err := os.WriteFile(filepath.Join(dir, path), text, 0o644); err != nil {
			return c, err
		}
	}
	settings := batch.DefaultSettings()
	settings.Match.Spread = 0
	res, err := batch.Run(ctx, batch.Options{Dir: dir, Settings: settings})
	if err != nil {
		return c, err
	}
	for _, v := range res.Vouchers {
		c.queries++
		c.kinds[v.Verdict.Kind]++
		c.conflicts.add(v.Verdict.Kind == seqqc.Conflict)
		c.apartAgrees.add(s.may != nil && v.Verdict.Kind == seqqc.Agrees)
	}
	return c, nil
}

// wrongGenus draws a genus of a stratum, empty where there is none. Pairs of
// genera of which the one held the other in some books are no wrong names.
func wrongGenus(q published, library []published, s stratum, rng *rand.Rand) string {
	var some []string
	seen := map[string]bool{}
	for _, p := range library {
		if seen[p.genus] {
			continue
		}
		seen[p.genus] = true
		if s.may(q.lineage, p.lineage) && speciesOf(library, p.genus) >= 2 && !oneInSomeBook(q.genus, p.genus) {
			some = append(some, p.genus)
		}
	}
	if len(some) == 0 {
		return ""
	}
	slices.Sort(some)
	return some[rng.IntN(len(some))]
}

// oneInSomeBook reports whether one of two genera was split off the other, both
// off a third, or both are names of one.
func oneInSomeBook(a, b string) bool {
	names := fieldguide.BuiltinNames()
	wide := func(genus string) []string {
		out := []string{genus}
		if now, _, ok := names.Current(refs.Name{Genus: genus, Rank: refs.Genus}); ok {
			out = append(out, now.Genus)
		}
		for _, c := range names.Holding(out[len(out)-1]) {
			out = append(out, c.Name)
		}
		return out
	}
	return slices.ContainsFunc(wide(a), func(g string) bool { return slices.Contains(wide(b), g) })
}

// libraryOf writes a library, records in renamed under another genus.
func libraryOf(library []published, renamed map[string]string) []byte {
	var b bytes.Buffer
	for _, p := range library {
		name := strings.TrimSpace(p.genus + " " + p.species)
		if other := renamed[p.id]; other != "" {
			name = other + " sp."
		}
		fmt.Fprintf(&b, ">%s %s\n%s\n", p.id, name, p.seq)
	}
	return b.Bytes()
}

// relabelled puts up to number records, each of a species with at least five
// different sequences, under genera of other orders and looks through the library.
// In some species fewer than four of these are near, so that both are counted: of
// all, and of those with four right neighbours.
func relabelled(ctx context.Context, library []published, number int, rng *rand.Rand) (labels, error) {
	of, seen := map[string]int{}, map[string]bool{}
	for _, p := range library {
		species := p.genus + " " + p.species
		if key := species + string(p.seq); !seen[key] {
			seen[key] = true
			of[species]++
		}
	}
	renamed, wrong, hit := map[string]string{}, map[string]bool{}, map[string]bool{}
	var ids []string
	genus := map[string]string{}
	for _, p := range library {
		genus[p.id] = p.genus
		species := p.genus + " " + p.species
		if p.species != "" && of[species] >= 5 && !hit[species] && len(wrong) < number {
			hit[species] = true
			renamed[p.id], wrong[p.id] = wrongGenus(p, library, strata[3], rng), true
		}
		ids = append(ids, p.id)
	}
	return auditLabels(ctx, libraryOf(library, renamed), ids, wrong, func(id string) string { return genus[id] })
}

// writeReal writes the table of published sequences.
func writeReal(out io.Writer, list []stratumCounts, l labels) error {
	var b strings.Builder
	b.WriteString("\npublished sequences, named as\tvouchers")
	for _, k := range seqqc.VerdictKinds {
		fmt.Fprintf(&b, "\t%s", k)
	}
	b.WriteString("\tconflicts\tof\tpercent\t95 % interval\n")
	for _, c := range list {
		fmt.Fprintf(&b, "%s\t%d", c.name, c.queries)
		for _, k := range seqqc.VerdictKinds {
			fmt.Fprintf(&b, "\t%d", c.kinds[k])
		}
		fmt.Fprintf(&b, "\t%s\n", c.conflicts)
	}
	fmt.Fprintf(&b, "\nlabels of the published library%s\nput under another order, found\t%s\n"+
		"of these with four right neighbours, found\t%s\nas published, accused\t%s\n", shareColumns, l.found, l.foundAmong, l.accused)
	_, err := io.WriteString(out, b.String())
	return err
}
