package refs

import (
	"fmt"
	"iter"
	"maps"
	"slices"
	"sync"
)

// Record is one reference sequence.
type Record struct {
	// ID is the first word of the header (the accession where there is one);
	// Header is the whole line without '>'.
	ID     string
	Header string
	Name   Name
	// Lineage is what the header, the user's taxonomy and the built-in genus
	// table say together, the user's word first, then the headers'; narrower
	// than Name says is left empty ("Russula sp." has no species).
	Lineage Lineage
	// Seq is upper-case nucleotide codes, U read as T.
	Seq  []byte
	Line int // 1-based line of the header
}

// Library is a set of reference records in file order. Make one with Read or
// NewLibrary, or open its cached index with OpenIndex.
type Library struct {
	// Records are nil in a library opened from its cached index: ask Len,
	// Record and All.
	Records  []Record
	Taxonomy *Taxonomy
	SHA256   string // of the uncompressed FASTA, lower-case hexadecimal
	Problems []Problem

	rejected int
	// genera are sorted; genusNumbers are, by record, places in it counted
	// from 1, see GenusNumber.
	genera       []string
	genusNumbers []int32

	// store is that of a library opened from its cached index, which has its
	// info too; otherwise that is kept by TakeNames.
	store *store
	info  Info

	// By name, made when first asked for.
	namesOnce sync.Once
	byGenus   map[string][]int
	bySpecies map[string][]int
	species   map[string][]string

	// names are those of TakeNames, lineages what they make of records, and
	// numbersAsRead the genusNumbers without them; nil before it.
	names         *Names
	lineages      map[int]Lineage
	numbersAsRead []int32

	// What Scans share, see scanIndexOf.
	scanOnce  sync.Once
	scanIndex *scanIndex
}

// Problem is something wrong with a library, at a line of its file.
type Problem struct {
	Line   int
	Record string
	What   string // what is wrong, no capital, no full stop
	Hint   string // what to do
	// Rejected is true where the record was left out.
	Rejected bool
	// Remark is true for what is doubtful about a record that was taken as it
	// is (no name, too short, another gene, a sequence of two genera): it
	// concerns who keeps the library more than who uses it.
	Remark bool
}

// Info counts what a library offers.
type Info struct {
	Records  int // usable records
	Named    int // records with at least a genus
	Genera   int
	Species  int // binomials without doubt
	Rejected int // records left out
}

// NewLibrary makes a library of records that are already read, with what their
// headers say in Name and Lineage: it completes the lineages from the user's
// table (nil for none) and the built-in genus table and builds the indexes. It
// keeps the slice and writes to it.
func NewLibrary(records []Record, user *Table) *Library {
	lib := &Library{Records: records}
	headers := make([]Lineage, len(records))
	own := make(map[int]Lineage) // the user's word on single records
	for i := range records {
		r := &records[i]
		r.Lineage = nameInLineage(r.Name, r.Lineage)
		if l, ok := user.record(r.ID); ok {
			own[i] = l
			r.takeUserName(l)
		}
		headers[i] = r.Lineage
	}
	lib.Taxonomy = NewTaxonomy(user, headers)
	for _, p := range lib.Taxonomy.problems {
		at := &records[p.Line-1]
		p.Line, p.Record = at.Line, at.ID
		lib.Problems = append(lib.Problems, p)
	}
	for i := range records {
		l := lib.Taxonomy.complete(records[i].Lineage)
		for _, r := range Ranks {
			if v := own[i].At(r); v != "" {
				l.Set(r, v)
			}
		}
		records[i].Lineage = l
	}
	lib.numberGenera()
	return lib
}

// takeUserName replaces the name of a record where the user's table names its
// species or genus otherwise, and drops the header's lineage with it.
func (r *Record) takeUserName(l Lineage) {
	taxon := l.Species
	if taxon == "" {
		taxon = l.Genus
	}
	if taxon == "" || taxon == r.Name.Taxon() && r.Name.Doubt == 0 {
		return
	}
	n := ParseName(taxon)
	if n.Genus == "" { // a genus that ends like none
		n = Name{Verbatim: taxon, Genus: taxon, Rank: Genus}
	}
	if l.Species == "" {
		if n.Genus == r.Name.Genus {
			return // the header says more
		}
		n.Doubt |= DoubtSp
	}
	if n.Genus != r.Name.Genus {
		r.Lineage = Lineage{}
	}
	r.Name = n
	r.Lineage = nameInLineage(n, r.Lineage)
}

// complete gives the lineage of a record: that of its genus, or of its
// narrowest taxon, as the taxonomy has it. Where the header puts the record in
// another kingdom, the name is a homonym and the header alone speaks.
func (t *Taxonomy) complete(l Lineage) Lineage {
	r := min(l.Deepest(), Genus)
	if r == NoRank {
		return l
	}
	known, ok := t.Lookup(l.At(r))
	if !ok || known.Deepest() != r || !sameKingdom(l, known) {
		return l
	}
	known.Species = l.Species
	return known
}

// record gives the user's word on a record, by its id with or without version.
func (t *Table) record(id string) (Lineage, bool) {
	if t == nil || t.key != NoRank {
		return Lineage{}, false
	}
	if l, ok := t.Lookup(id); ok {
		return l, true
	}
	for i := len(id) - 1; i > 0 && id[i] >= '0' && id[i] <= '9' || i > 0 && id[i] == '.'; i-- {
		if id[i] == '.' {
			return t.Lookup(id[:i])
		}
	}
	return Lineage{}, false
}

// index makes what is found by name, once.
func (l *Library) index() { l.namesOnce.Do(l.makeIndex) }

func (l *Library) makeIndex() {
	l.byGenus = make(map[string][]int)
	l.bySpecies = make(map[string][]int)
	l.species = make(map[string][]string)
	for i := range l.Len() {
		r := l.bare(i)
		genus := r.Name.Genus
		if genus == "" {
			continue
		}
		if renamed, ok := l.lineages[i]; ok {
			genus = renamed.Genus
		}
		l.byGenus[genus] = append(l.byGenus[genus], i)
		if s := r.Lineage.Species; s != "" {
			l.bySpecies[s] = append(l.bySpecies[s], i)
			if len(l.bySpecies[s]) == 1 {
				l.species[genus] = append(l.species[genus], s)
			}
		}
	}
	for _, names := range l.species {
		slices.Sort(names)
	}
}

// Len gives the number of records.
func (l *Library) Len() int {
	if l.store != nil {
		return len(l.store.numbers)
	}
	return len(l.Records)
}

// Record gives record i in file order, 0 <= i < Len().
func (l *Library) Record(i int) Record {
	r := l.bare(i)
	r.Seq = l.seqOf(i)
	return r
}

// All gives the records with their numbers, in file order.
func (l *Library) All() iter.Seq2[int, Record] {
	return func(yield func(int, Record) bool) {
		for i := range l.Len() {
			if !yield(i, l.Record(i)) {
				return
			}
		}
	}
}

// bare gives record i, whose sequence may be missing.
func (l *Library) bare(i int) Record {
	var r Record
	if l.store != nil {
		r = l.store.bare(i)
	} else {
		r = l.Records[i]
	}
	if lineage, ok := l.lineages[i]; ok {
		r.Lineage = lineage
	}
	return r
}

// seqOf gives the sequence of record i. It is not to be written to.
func (l *Library) seqOf(i int) []byte {
	if l.store != nil {
		p := l.scanIndex.packed(l.scanIndex.unitOf[i])
		return p.AppendLetters(make([]byte, 0, p.Len()))
	}
	return l.Records[i].Seq
}

// GenusNumber gives the number, from 1, of the genus in the lineage of record
// i; 0 where the record is unnamed or has none. Numbers are those of one
// library: they serve to compare records quickly.
func (l *Library) GenusNumber(i int) int32 { return l.genusNumbers[i] }

// GenusNumberOf gives the number of a genus, 0 where no named record is of it.
func (l *Library) GenusNumberOf(genus string) int32 {
	at, ok := slices.BinarySearch(l.genera, genus)
	if !ok {
		return 0
	}
	return int32(at) + 1
}

// CountAt gives the number of records that have taxon at rank r.
func (l *Library) CountAt(r Rank, taxon string) int {
	n := 0
	for i := range l.Len() {
		if l.bare(i).Lineage.At(r) == taxon {
			n++
		}
	}
	return n
}

// numberGenera fills what is behind GenusNumber.
func (l *Library) numberGenera() {
	numbers := make(map[string]int32)
	genus := func(i int) string {
		if l.Records[i].Name.Unnamed {
			return ""
		}
		return l.Records[i].Lineage.Genus
	}
	for i := range l.Records {
		numbers[genus(i)] = 0
	}
	delete(numbers, "")
	l.genera = slices.Sorted(maps.Keys(numbers))
	for i, g := range l.genera {
		numbers[g] = int32(i) + 1
	}
	l.genusNumbers = make([]int32, len(l.Records))
	for i := range l.Records {
		l.genusNumbers[i] = numbers[genus(i)]
	}
}

// Unique gives the number of different sequences. It is known from the index of
// the search, which is made when first needed: then, or by the first search.
func (l *Library) Unique() int { return l.scanIndexOf().units() }

// Info counts records, names and rejections, names as they were written.
func (l *Library) Info() Info {
	if l.store != nil || l.names != nil {
		return l.info
	}
	l.index()
	info := Info{Records: len(l.Records), Genera: len(l.byGenus), Species: len(l.bySpecies), Rejected: l.rejected}
	for _, records := range l.byGenus {
		info.Named += len(records)
	}
	return info
}

// OfGenus gives the numbers, ascending, of the records of a genus, with or
// without a species.
func (l *Library) OfGenus(genus string) []int {
	l.index()
	return l.byGenus[genus]
}

// OfSpecies gives the numbers, ascending, of the records named "Genus epithet"
// without doubt.
func (l *Library) OfSpecies(binomial string) []int {
	l.index()
	return l.bySpecies[binomial]
}

// SpeciesOf gives the binomials of a genus, sorted.
func (l *Library) SpeciesOf(genus string) []string {
	l.index()
	return l.species[genus]
}

// maxListed is how many problems of one kind are listed one by one: a library
// that was aligned, or translated, would give one a record.
const maxListed = 20

// problems collects problems and lists only the first of each kind.
type problems struct {
	list  []Problem
	kinds []problemKind
}

type problemKind struct {
	name  string
	count int
	like  Problem
}

// add takes a problem of a kind, a few words that name it in the plural.
func (p *problems) add(kind string, problem Problem) {
	i := slices.IndexFunc(p.kinds, func(k problemKind) bool { return k.name == kind })
	if i < 0 {
		i = len(p.kinds)
		p.kinds = append(p.kinds, problemKind{name: kind, like: problem})
	}
	if p.kinds[i].count++; p.kinds[i].count <= maxListed {
		p.list = append(p.list, problem)
	}
}

// all gives the list, with a line for what was not listed.
func (p *problems) all() []Problem {
	for _, k := range p.kinds {
		if more := k.count - maxListed; more > 0 {
			p.list = append(p.list, Problem{What: fmt.Sprintf("%d more %s", more, k.name), Hint: k.like.Hint, Rejected: k.like.Rejected, Remark: k.like.Remark})
		}
	}
	return p.list
}
