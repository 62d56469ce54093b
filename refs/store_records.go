package refs

import (
	"maps"
	"math"
	"slices"
	"strings"
)

// store is what a library says of its records in the form of its cached index:
// arrays, most of them in the file, of which records are put together one by
// one when asked for. Their sequences are in the scanIndex.
type store struct {
	names    texts    // the pool of all names, number 0 empty
	headers  texts    // by record
	rows     []uint32 // by record, rowWidth numbers each
	lineages []uint32 // rows of lineageWidth numbers of names
	taxa     []uint32 // the taxonomy: pairs of a name and a lineage
	problems []uint32 // problemWidth numbers each
	genera   []uint32 // numbers of names, see Library.genera
	numbers  []int32  // by record, see Library.genusNumbers
}

// The numbers of a record. Id and verbatim name are stretches of the header
// (where it begins, its length), or names of the pool (the number, inPool).
const (
	rowID = iota
	rowIDLength
	rowVerbatim
	rowVerbatimLength
	rowGenus
	rowEpithet
	rowInfra
	rowHigher
	rowSeveral
	rowKind // rank, doubt and the bits below
	rowLineage
	rowLine
	rowWidth

	inPool = math.MaxUint32

	kindDoubt       = 8 // bits up to the doubt, sixteen of them
	kindUnnamed     = 1 << 24
	kindAbbreviated = 1 << 25
	kindRespelt     = 1 << 26
	kindEnd         = 1 << 27
)

// The numbers of a problem.
const (
	problemLine = iota
	problemRecord
	problemWhat
	problemHint
	problemBits
	problemWidth

	problemRejected = 1
	problemRemark   = 2
	problemEnd      = 4
)

// storeOf gives the records of a library in this form.
func storeOf(l *Library) (*store, error) {
	s := &store{numbers: l.genusNumbers}
	names, lineages := newPool(), &lineageTable{numbers: make(map[Lineage]uint32)}
	for i := range l.Len() {
		r := l.bare(i)
		line, err := fits32("line", r.Line)
		if err != nil {
			return nil, err
		}
		row := [rowWidth]uint32{
			rowGenus: names.number(r.Name.Genus), rowEpithet: names.number(r.Name.Epithet), rowInfra: names.number(r.Name.Infra),
			rowHigher: names.number(r.Name.Higher), rowSeveral: names.number(r.Name.Several),
			rowKind: kindOf(r.Name), rowLineage: lineages.number(r.Lineage, names), rowLine: line,
		}
		row[rowID], row[rowIDLength] = within(r.Header, r.ID, names)
		row[rowVerbatim], row[rowVerbatimLength] = within(r.Header, r.Name.Verbatim, names)
		s.rows = append(s.rows, row[:]...)
		s.headers.add(r.Header)
	}
	taxa := l.Taxonomy.byName()
	for _, name := range slices.Sorted(maps.Keys(taxa)) {
		s.taxa = append(s.taxa, names.number(name), lineages.number(taxa[name], names))
	}
	for _, g := range l.genera {
		s.genera = append(s.genera, names.number(g))
	}
	for _, p := range l.Problems {
		line, err := fits32("line", p.Line)
		if err != nil {
			return nil, err
		}
		var kind uint32
		if p.Rejected {
			kind |= problemRejected
		}
		if p.Remark {
			kind |= problemRemark
		}
		s.problems = append(s.problems, line, names.number(p.Record), names.number(p.What), names.number(p.Hint), kind)
	}
	s.names, s.lineages = names.texts, lineages.rows
	return s, nil
}

// within gives a text as a stretch of the header or, where it is none, from the
// pool.
func within(header, text string, names *pool) (at, length uint32) {
	if i := strings.Index(header, text); i >= 0 && len(header) < inPool {
		return uint32(i), uint32(len(text))
	}
	return names.number(text), inPool
}

func kindOf(n Name) uint32 {
	kind := uint32(n.Rank) | uint32(n.Doubt)<<kindDoubt
	for bit, set := range map[uint32]bool{kindUnnamed: n.Unnamed, kindAbbreviated: n.Abbreviated, kindRespelt: n.Respelt} {
		if set {
			kind |= bit
		}
	}
	return kind
}

// arrays are all that a store has, to be written or found.
func (s *store) arrays() []array {
	return slices.Concat(
		s.names.arrays("names"), s.headers.arrays("headers"),
		[]array{
			arrayOf("records", &s.rows), arrayOf("lineages", &s.lineages), arrayOf("taxa", &s.taxa), arrayOf("problems", &s.problems),
			arrayOf("genera", &s.genera), arrayOf("genus numbers", &s.numbers),
		})
}

// check looks at every number by which something is looked up: what is asked of
// a store that was found cannot go wrong later.
func (s *store) check() error {
	n, names, lineages := len(s.numbers), uint32(len(s.names.ends)), uint32(len(s.lineages)/lineageWidth)
	switch {
	case !s.names.check() || !s.headers.check():
		return damaged("a text lies outside")
	case n == 0 || names == 0 || s.names.len(0) != 0:
		return damaged("it holds no records")
	case len(s.rows) != n*rowWidth || len(s.headers.ends) != n,
		len(s.lineages)%lineageWidth != 0, len(s.taxa)%2 != 0, len(s.problems)%problemWidth != 0:
		return damaged("its sections do not fit one another")
	case !below(s.lineages, names) || !below(s.genera, names):
		return damaged("a name is missing")
	}
	for i := 0; i < len(s.taxa); i += 2 {
		if s.taxa[i] >= names || s.taxa[i+1] >= lineages {
			return damaged("taxon %d is not whole", i/2)
		}
	}
	for i := 0; i < len(s.problems); i += problemWidth {
		if !below(s.problems[i+problemRecord:i+problemBits], names) || s.problems[i+problemBits] >= problemEnd {
			return damaged("problem %d is not whole", i/problemWidth)
		}
	}
	for i := range n {
		row := s.row(i)
		header := s.headers.len(uint32(i))
		switch {
		case !below(row[rowGenus:rowKind], names), row[rowKind] >= kindEnd, row[rowLineage] >= lineages,
			!s.hasText(header, row[rowID], row[rowIDLength]), !s.hasText(header, row[rowVerbatim], row[rowVerbatimLength]),
			s.numbers[i] < 0 || int(s.numbers[i]) > len(s.genera):
			return damaged("record %d is not whole", i)
		}
	}
	return nil
}

func below(list []uint32, end uint32) bool {
	for _, v := range list {
		if v >= end {
			return false
		}
	}
	return true
}

func (s *store) row(i int) []uint32 { return s.rows[i*rowWidth:][:rowWidth:rowWidth] }

// hasText reports whether there is what text gives, for a header of so many
// bytes.
func (s *store) hasText(header uint64, at, length uint32) bool {
	if length == inPool {
		return uint64(at) < uint64(len(s.names.ends))
	}
	return uint64(at)+uint64(length) <= header
}

func (s *store) text(header string, at, length uint32) string {
	if length == inPool {
		return s.names.at(at)
	}
	return header[at : at+length]
}

// bare gives a record without its sequence.
func (s *store) bare(i int) Record {
	row, header := s.row(i), s.headers.at(uint32(i))
	kind := row[rowKind]
	return Record{
		ID:     s.text(header, row[rowID], row[rowIDLength]),
		Header: header,
		Name: Name{
			Verbatim:    s.text(header, row[rowVerbatim], row[rowVerbatimLength]),
			Genus:       s.names.at(row[rowGenus]),
			Epithet:     s.names.at(row[rowEpithet]),
			Infra:       s.names.at(row[rowInfra]),
			Higher:      s.names.at(row[rowHigher]),
			Several:     s.names.at(row[rowSeveral]),
			Rank:        Rank(kind),
			Doubt:       Doubt(kind >> kindDoubt),
			Unnamed:     kind&kindUnnamed != 0,
			Abbreviated: kind&kindAbbreviated != 0,
			Respelt:     kind&kindRespelt != 0,
		},
		Lineage: s.lineage(row[rowLineage]),
		Line:    int(row[rowLine]),
	}
}

func (s *store) lineage(n uint32) (l Lineage) {
	for i, name := range s.lineages[int(n)*lineageWidth:][:lineageWidth] {
		l.Set(Ranks[i], s.names.at(name))
	}
	return l
}

func (s *store) taxonomy() map[string]Lineage {
	taxa := make(map[string]Lineage, len(s.taxa)/2)
	for i := 0; i < len(s.taxa); i += 2 {
		taxa[s.names.at(s.taxa[i])] = s.lineage(s.taxa[i+1])
	}
	return taxa
}

// problemList gives Library.Problems.
func (s *store) problemList() []Problem {
	var list []Problem
	for i := 0; i < len(s.problems); i += problemWidth {
		p := s.problems[i:][:problemWidth]
		list = append(list, Problem{
			Line: int(p[problemLine]), Record: s.names.at(p[problemRecord]), What: s.names.at(p[problemWhat]), Hint: s.names.at(p[problemHint]),
			Rejected: p[problemBits]&problemRejected != 0, Remark: p[problemBits]&problemRemark != 0,
		})
	}
	return list
}
