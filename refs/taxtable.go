package refs

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// Limits of a taxonomy table: a club's table has thousands of rows of a
// hundred bytes; more than this is another kind of file.
const (
	maxTableLine = 1 << 16
	maxTableRows = 5_000_000
)

// Table is a user's taxonomy table: what it says about genera, and about
// single records by their ids.
type Table struct {
	rows  []tableRow // in file order
	byKey map[string]int
	// key is the rank of the first column, NoRank where its heading names none.
	key Rank
}

type tableRow struct {
	key     string
	line    int
	lineage Lineage // as written in the rank columns, cleaned
}

// ReadTaxonomy reads a tab-separated table in UTF-8. Its first column holds
// genera or record ids, its first line headings; further columns are named for
// ranks (kingdom phylum class order family genus species, in any order, other
// columns are passed over). Lines that begin with # are remarks. Cells without
// a value ("unclassified", "incertae sedis") count as empty.
//
// A faulty row is an error of type *ParseError with its line.
func ReadTaxonomy(r io.Reader) (*Table, error) {
	t := &Table{byKey: make(map[string]int)}
	var ranks []Rank // by column, NoRank where the column is passed over
	scanner := bufio.NewScanner(r)
	scanner.Buffer(nil, maxTableLine)
	line := 0
	for scanner.Scan() {
		line++
		text := strings.TrimRight(scanner.Text(), "\r")
		if line == 1 {
			text = strings.TrimPrefix(text, "\ufeff")
		}
		if !utf8.ValidString(text) {
			return nil, &ParseError{Line: line, Err: errors.New("the text is not UTF-8"), Hint: "save the table as tab-separated text in UTF-8"}
		}
		if strings.TrimSpace(text) == "" || strings.HasPrefix(text, "#") {
			continue
		}
		cells := strings.Split(text, "\t")
		for i := range cells {
			cells[i] = strings.TrimSpace(strings.Trim(strings.TrimSpace(cells[i]), `"`))
		}
		if ranks == nil {
			var err error
			if ranks, err = t.headings(cells, line); err != nil {
				return nil, err
			}
			continue
		}
		if err := t.addRow(cells, ranks, line); err != nil {
			return nil, err
		}
		if len(t.rows) > maxTableRows {
			return nil, &ParseError{Line: line, Err: fmt.Errorf("more than %d rows: %w", maxTableRows, ErrTooLarge)}
		}
	}
	if err := scanner.Err(); err != nil {
		if errors.Is(err, bufio.ErrTooLong) {
			err = fmt.Errorf("a line of more than %d bytes: %w", maxTableLine, ErrTooLarge)
		}
		return nil, &ParseError{Line: line + 1, Err: err}
	}
	if len(t.rows) == 0 {
		return nil, &ParseError{Err: fmt.Errorf("the taxonomy table has no row: %w", ErrEmpty),
			Hint: "the first line names the columns, the others hold a genus or record id and its ranks"}
	}
	return t, nil
}

func (t *Table) headings(cells []string, line int) ([]Rank, error) {
	ranks := make([]Rank, len(cells))
	seen := make(map[Rank]int)
	if len(cells) > 0 {
		t.key, _ = ParseRank(cells[0])
	}
	for i, cell := range cells[1:] {
		r, ok := ParseRank(cell)
		if !ok {
			continue
		}
		if before := seen[r]; before > 0 {
			return nil, &ParseError{Line: line, Err: fmt.Errorf("columns %d and %d are both named %q", before, i+2, r)}
		}
		seen[r] = i + 2
		ranks[i+1] = r
	}
	if len(seen) == 0 {
		return nil, &ParseError{Line: line, Err: errors.New("no column after the first is named for a rank"),
			Hint: "separate columns with tabs and name them kingdom, phylum, class, order, family, genus or species"}
	}
	return ranks, nil
}

func (t *Table) addRow(cells []string, ranks []Rank, line int) error {
	if len(cells) > len(ranks) && strings.Join(cells[len(ranks):], "") != "" {
		return &ParseError{Line: line, Err: fmt.Errorf("%d cells, but the table has %d columns", len(cells), len(ranks))}
	}
	key := cells[0]
	if key == "" {
		return &ParseError{Line: line, Err: errors.New("the first cell is empty"), Hint: "it holds the genus or the record id"}
	}
	var raw Lineage
	for i, cell := range cells[:min(len(cells), len(ranks))] {
		if ranks[i] != NoRank {
			raw.Set(ranks[i], cell)
		}
	}
	row := tableRow{key: key, line: line}
	for _, r := range Ranks {
		row.lineage.Set(r, RankValue(r, raw.At(r), raw.Genus))
	}
	if t.key != NoRank {
		row.key = titleCase(key)
		if t.key != Species && row.lineage.At(t.key) == "" {
			row.lineage.Set(t.key, row.key)
		}
	}
	if i, twice := t.byKey[row.key]; twice {
		if t.rows[i].lineage != row.lineage {
			return &ParseError{Line: line, Err: fmt.Errorf("%q is given another lineage than on line %d", row.key, t.rows[i].line)}
		}
		return nil
	}
	t.byKey[row.key] = len(t.rows)
	t.rows = append(t.rows, row)
	return nil
}

// Lookup gives what the table says about a genus or record id.
func (t *Table) Lookup(key string) (Lineage, bool) {
	if t == nil {
		return Lineage{}, false
	}
	i, ok := t.byKey[key]
	if !ok {
		return Lineage{}, false
	}
	return t.rows[i].lineage, true
}

// lineages gives the lineages of all rows. A key that can be a genus is taken
// for one where its row has no genus.
func (t *Table) lineages() []Lineage {
	if t == nil {
		return nil
	}
	out := make([]Lineage, len(t.rows))
	for i, row := range t.rows {
		l := row.lineage.Upto(Genus)
		if l.Genus == "" && t.key == NoRank && isLetters(strings.ToLower(row.key)) && titleCase(row.key) == row.key {
			l.Genus = row.key
		}
		out[i] = l
	}
	return out
}
