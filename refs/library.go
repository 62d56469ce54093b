package refs

// Record is one reference sequence.
type Record struct {
	// ID is the first word of the header (the accession where there is one);
	// Header is the whole line without '>'.
	ID     string
	Header string
	Name   Name
	// Lineage is what the header, the user's taxonomy and the built-in genus
	// table say together, the first of these that has a value at a rank
	// winning; narrower than Name says is left empty ("Russula sp." has no
	// species).
	Lineage Lineage
	// Seq is upper-case nucleotide codes, U read as T.
	Seq  []byte
	Line int // 1-based line of the header
}

// Library is a set of reference records in file order.
type Library struct {
	Records  []Record
	Taxonomy *Taxonomy
	SHA256   string // of the uncompressed FASTA, lower-case hexadecimal
	Problems []Problem
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

// Taxonomy knows the lineage of names: from the library's own headers, from
// the user's table, and from the built-in genus table.
type Taxonomy struct {
	byName map[string]Lineage
}

// Lookup gives the lineage of a taxon of any rank, down to that taxon itself.
func (t *Taxonomy) Lookup(name string) (Lineage, bool) {
	if t == nil {
		return Lineage{}, false
	}
	l, ok := t.byName[name]
	return l, ok
}
