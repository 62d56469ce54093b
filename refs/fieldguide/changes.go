package fieldguide

import (
	_ "embed"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"

	"forayseq/refs"
)

// changesTSV is the built-in table of changed names; its own header says where
// it comes from and what the kinds mean.
//
//go:embed changes.tsv
var changesTSV string

// builtinChanges is the parsed table by name. Nothing changes it.
var builtinChanges = sync.OnceValue(func() map[string][]refs.Change {
	table := map[string][]refs.Change{}
	for cells := range rowsOf(changesTSV) {
		table[cells[0]] = append(table[cells[0]], refs.Change{Name: cells[0], Accepted: cells[1], Kind: refs.ChangeKind(cells[2]), Ground: cells[3]})
	}
	return table
})

// BuiltinNames gives the built-in table.
func BuiltinNames() *refs.Names { return namesOf(builtinChanges()) }

func namesOf(table map[string][]refs.Change) *refs.Names {
	var rows []refs.Change
	for _, name := range slices.Sorted(maps.Keys(table)) {
		rows = append(rows, table[name]...)
	}
	return refs.NewNames(rows)
}

// NamesWith gives the built-in table with other rows put over it. They go
// first: what the built-in table says of a name that they name, or against them
// (that their accepted name became the other one), is left out. A row that
// takes a name to itself says that it stays. Only a genus that was split keeps
// its parts, and a genus with several rows is one that was split.
//
// The errors, one for each row that is refused, are *RowError.
func NamesWith(rows []refs.Change) (*refs.Names, []error) {
	own, errs := acceptRows(rows)
	table := map[string][]refs.Change{}
	for name, list := range builtinChanges() {
		for _, c := range list {
			if c.Kind == refs.Split || !slices.Contains(chain(own, c.Accepted), name) {
				table[name] = append(table[name], c)
			}
		}
	}
	for name, list := range own {
		split := len(list) > 1
		for _, c := range table[name] {
			split = split || c.Kind == refs.Split
			if c.Kind == refs.Split && !leadsTo(list, c.Accepted) {
				list = append(list, c)
			}
		}
		for i := range list {
			if split {
				list[i].Kind = refs.Split
			}
		}
		table[name] = list
	}
	for _, c := range rows {
		if c.Name == c.Accepted {
			delete(table, c.Name)
		}
	}
	return namesOf(table), errs
}

// acceptRows sorts rows by name and refuses those that contradict one before.
func acceptRows(rows []refs.Change) (map[string][]refs.Change, []error) {
	table := map[string][]refs.Change{}
	var errs []error
	for i, c := range rows {
		before := table[c.Name]
		became := chain(table, c.Accepted)
		var err error
		switch {
		case c.Name == c.Accepted, leadsTo(before, c.Accepted):
			continue
		case slices.Contains(became, c.Name):
			err = fmt.Errorf("the rows go round in a circle: %s", strings.Join(append([]string{c.Name}, became...), ", "))
		case len(before) > 0 && strings.Contains(c.Name, " "):
			err = fmt.Errorf("%s is %s in an earlier row", c.Name, before[0].Accepted)
		}
		if err != nil {
			errs = append(errs, &RowError{Row: i, Err: err})
			continue
		}
		table[c.Name] = append(before, c)
	}
	return table, errs
}

// chain gives a name and those that it became, one after the other.
func chain(table map[string][]refs.Change, name string) []string {
	out := []string{name}
	for len(table[name]) == 1 && !slices.Contains(out, table[name][0].Accepted) {
		name = table[name][0].Accepted
		out = append(out, name)
	}
	return out
}

func leadsTo(list []refs.Change, accepted string) bool {
	return slices.ContainsFunc(list, func(c refs.Change) bool { return c.Accepted == accepted })
}

// RowError is what is wrong with one of the rows given to NamesWith.
type RowError struct {
	Row int // place in the rows, from 0
	Err error
}

// Error says what is wrong.
func (e *RowError) Error() string { return e.Err.Error() }

// Unwrap gives the fault without its place.
func (e *RowError) Unwrap() error { return e.Err }
