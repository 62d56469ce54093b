package refs

// Record is one reference sequence.
type Record struct {
	// ID is the first word of the header (the accession where there is one);
	// Header is the whole line without '>'.
	ID     string
	Header string
	Name   Name
	// Lineage is what the header, the user's taxonomy and the built-in genus
	// table say together, the user's word first, then the header's; narrower
	// than Name says is left empty ("Russula sp." has no species).
	Lineage Lineage
	// Seq is upper-case nucleotide codes, U read as T.
	Seq  []byte
	Line int // 1-based line of the header
}

// Library is a set of reference records in file order. Make one with Read or
// NewLibrary: both fill the indexes behind its methods.
type Library struct {
	Records  []Record
	Taxonomy *Taxonomy
	SHA256   string // of the uncompressed FASTA, lower-case hexadecimal
	Problems []Problem

	byGenus   map[string][]int
	bySpecies map[string][]int
	species   map[string][]string
}

// Problem is something wrong with a library, at a line of its file.
type Problem struct {
	Line   int
	Record string
	What   string // what is wrong, no capital, no full stop
	Hint   string // what to do
	// Rejected is true where the record was left out.
	Rejected bool
}

// Info counts what a library offers.
type Info struct {
	Records  int // usable records
	Named    int // records with at least a genus
	Genera   int
	Species  int // binomials without doubt
	Rejected int // records left out
}

// NewLibrary makes a library of records that are already read: it completes
// their lineages from the user's table (nil for none) and the built-in genus
// table and builds the indexes. It keeps and changes the slice.
func NewLibrary(records []Record, user *Table) *Library {
	lib := &Library{Records: records}
	return lib
}

// Info counts records, names and rejections.
func (l *Library) Info() Info { return Info{} }

// OfGenus gives the indexes in Records, ascending, of the records of a genus,
// with or without a species.
func (l *Library) OfGenus(genus string) []int { return l.byGenus[genus] }

// OfSpecies gives the indexes in Records, ascending, of the records named
// "Genus epithet" without doubt.
func (l *Library) OfSpecies(binomial string) []int { return l.bySpecies[binomial] }

// SpeciesOf gives the binomials of a genus, sorted.
func (l *Library) SpeciesOf(genus string) []string { return l.species[genus] }
