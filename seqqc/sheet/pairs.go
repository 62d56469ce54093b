package sheet

import (
	"io"

	"forayseq/seqqc"
)

// Pair is one row of a list of two columns. Neither cell is empty.
type Pair struct {
	First, Second string
	Row           int // 1-based row of the list
}

// ReadPairs reads a list with two columns of the given names, in the formats of
// [Read]; other columns are passed over. The problems name the rows that were
// left out.
//
// An error is an *Error and means that the list could not be read at all.
func ReadPairs(r io.Reader, name, first, second string) ([]Pair, []seqqc.Problem, error) {
	named := &headings{builtIn: map[string]meaning{
		fold(first):  {ours: first, rank: 1},
		fold(second): {ours: second, rank: 1},
	}}
	g, err := readGrid(r, name, Limits{}.orDefaults(), named)
	if err != nil {
		return nil, nil, err
	}
	if len(g.rows) == 0 {
		return nil, g.problems, nil
	}
	if g.rows[0].broken {
		return nil, nil, brokenHeading(name)
	}
	b := &builder{name: name, problems: g.problems, workbook: g.workbook}
	if err := b.headings(named, g.rows[0], width(g.rows), first, second); err != nil {
		return nil, nil, err
	}
	var pairs []Pair
	for _, r := range g.rows[1:] {
		if r.broken || b.slipped(r) {
			continue
		}
		p := Pair{oneLine(b.cell(r, first).text), oneLine(b.cell(r, second).text), r.number}
		if p.First == "" || p.Second == "" {
			missing := first
			if p.First != "" {
				missing = second
			}
			b.add(r.number, b.heading(missing), "the cell is empty", "fill it in, or remove the row", true)
			continue
		}
		pairs = append(pairs, p)
	}
	return pairs, b.problems, nil
}
