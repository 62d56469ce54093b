package refs_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"forayseq/refs"
)

func ExampleParseName() {
	for _, written := range []string{"RUSSULA cf. emetica (Schaeff.) Pers.", "Cortinarius sp. 20", "Boletaceae", "Uncultured fungus", "coral fungus"} {
		n := refs.ParseName(written)
		fmt.Printf("%-36s taxon %q, rank %q, certain species %v, unnamed %v\n", written, n.Taxon(), n.Rank, n.CertainSpecies(), n.Unnamed)
	}
	// Output:
	// RUSSULA cf. emetica (Schaeff.) Pers. taxon "Russula emetica", rank "species", certain species false, unnamed false
	// Cortinarius sp. 20                   taxon "Cortinarius", rank "genus", certain species false, unnamed false
	// Boletaceae                           taxon "Boletaceae", rank "family", certain species false, unnamed false
	// Uncultured fungus                    taxon "Fungi", rank "kingdom", certain species false, unnamed true
	// coral fungus                         taxon "", rank "", certain species false, unnamed false
}

func ExampleParseHeader() {
	id, name, lineage := refs.ParseHeader("X1 k__Fungi;f__Russulaceae;g__Russula;s__Russula_emetica")
	fmt.Println(id, "|", name.Binomial(), "|", lineage.Family)
	id, name, _ = refs.ParseHeader("FC12 [organism=Russula sp. FC12] [strain=A]")
	fmt.Println(id, "|", name.Taxon(), "|", name.Doubt == refs.DoubtSp)
	// Output:
	// X1 | Russula emetica | Russulaceae
	// FC12 | Russula | true
}

func ExampleRead() {
	fasta := strings.NewReader(">X1 Russula emetica\nACGTACGT\n>X2 a protein\nMKTE\n")
	lib, err := refs.Read(fasta, refs.ReadOptions{})
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return
	}
	info := lib.Info()
	fmt.Println(info.Records, "record,", info.Rejected, "rejected")
	fmt.Println(lib.Record(0).Lineage.Order, lib.OfGenus("Russula"))
	p := lib.Problems[0]
	fmt.Printf("line %d, %s: %s\n", p.Line, p.Record, p.What)
	// Output:
	// 1 record, 1 rejected
	// Russulales [0]
	// line 4, X2: the letter E is no nucleotide code
}

func ExampleReadTaxonomy() {
	table, err := refs.ReadTaxonomy(strings.NewReader("genus\tfamily\nRussula\tClubaceae\n"))
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return
	}
	tax := refs.NewTaxonomy(table, nil)
	lineage, _ := tax.Lookup("Russula")
	fmt.Println(lineage.Order, lineage.Family, lineage.Genus)
	// Output: Russulales Clubaceae Russula
}

func ExampleNewLibrary() {
	lib := refs.NewLibrary([]refs.Record{
		{ID: "X1", Name: refs.ParseName("Russula emetica"), Seq: []byte("ACGT")},
		{ID: "X2", Name: refs.ParseName("Russula sp."), Seq: []byte("ACGA")},
	}, nil)
	fmt.Println(lib.OfGenus("Russula"), lib.SpeciesOf("Russula"), lib.OfSpecies("Russula emetica"))
	// Output: [0 1] [Russula emetica] [0]
}

func ExampleOpenIndex() {
	const fasta = ">X1 Russula emetica\nACGTACGT\n>X2 Lactarius sp.\nACGTTGCA\n"
	dir, err := os.MkdirTemp("", "refs")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return
	}
	defer func() { _ = os.RemoveAll(dir) }()
	path := refs.IndexPath(filepath.Join(dir, "refs.fasta"))
	// The file, had it been one, in bytes and with its time.
	origin := refs.Origin{Size: int64(len(fasta)), ModTime: time.Date(2026, 9, 1, 12, 0, 0, 0, time.UTC)}

	lib, err := refs.Read(strings.NewReader(fasta), refs.ReadOptions{})
	if err == nil {
		_, err = refs.WriteIndex(path, lib, origin)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return
	}

	sum := func() (string, error) { return refs.Sum(strings.NewReader(fasta + ">X3 Amanita muscaria\nACGT\n")) }
	lib, err = refs.OpenIndex(path, origin, sum)
	fmt.Println(lib.Record(1).ID, lib.OfGenus("Lactarius"), err)
	origin.Size += 27
	_, err = refs.OpenIndex(path, origin, sum)
	fmt.Println(err)
	// Output:
	// X2 [1] <nil>
	// it is out of date: the library has changed
}

func ExampleTaxonomy_Resolve() {
	tax := refs.NewTaxonomy(nil, nil)
	n := tax.Resolve(refs.ParseName("Cantharellaceae"))
	fmt.Println(n.Higher, n.Rank)
	l := tax.LineageOf(tax.Resolve(refs.ParseName("Physarum sp.")))
	fmt.Println(l.Kingdom, l.OutsideFungi(), tax.Habit(l.Genus))
	// Output:
	// Hydnaceae family
	// Protozoa true slime_mould
}

func ExampleRankValue() {
	fmt.Printf("%q %q %q\n", refs.RankValue(refs.Family, "Agaricales_fam_Incertae_sedis", ""),
		refs.RankValue(refs.Kingdom, "Viridiplantae", ""), refs.RankValue(refs.Species, "emetica", "Russula"))
	// Output: "" "Plantae" "Russula emetica"
}
