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

// ChangeKind is what happened to a name.
type ChangeKind string

// The kinds.
const (
	Moved    ChangeKind = "moved"    // the species stands in another genus today
	Synonym  ChangeKind = "synonym"  // two names of one species, or of one genus with all its species
	Spelling ChangeKind = "spelling" // the same name in the spelling in use
	// Split is a genus that in its wide sense holds the accepted one: what one
	// of its species is called today is left open.
	Split ChangeKind = "split"
)

// Change takes a name, a genus or a species, to the name in use.
type Change struct {
	Name, Accepted string
	Kind           ChangeKind
	Ground         string // why or when, in words
}

// Names is a table of changed names. The zero value and nil know none.
type Names struct {
	// changes are those of a name: one, or several where a genus was split.
	changes map[string][]Change
}

// builtinNames is the parsed table. Nothing changes it.
var builtinNames = sync.OnceValue(func() *Names {
	n := &Names{changes: map[string][]Change{}}
	for cells := range rowsOf(changesTSV) {
		c := Change{cells[0], cells[1], ChangeKind(cells[2]), cells[3]}
		n.changes[c.Name] = append(n.changes[c.Name], c)
	}
	return n
})

// BuiltinNames gives the built-in table.
func BuiltinNames() *Names { return builtinNames() }

// NamesWith gives the built-in table with other rows put over it. They go
// first: what the built-in table says of a name that they name, or against them
// (that their accepted name became the other one), is left out. A row that
// takes a name to itself says that it stays. Only a genus that was split keeps
// its parts, and a genus with several rows is one that was split.
//
// The errors, one for each row that is refused, are *RowError.
func NamesWith(rows []Change) (*Names, []error) {
	var errs []error
	own := &Names{changes: map[string][]Change{}}
	for i, c := range rows {
		refuse := func(format string, args ...any) {
			errs = append(errs, &RowError{Row: i, Err: fmt.Errorf(format, args...)})
		}
		chain := own.chain(c.Accepted)
		switch before := own.changes[c.Name]; {
		case c.Name == c.Accepted:
			continue // it stays: see below
		case slices.Contains(chain, c.Name):
			refuse("the rows go round in a circle: %s", strings.Join(append([]string{c.Name}, chain...), ", "))
			continue
		case slices.ContainsFunc(before, func(b Change) bool { return b.Accepted == c.Accepted }):
			continue
		case len(before) > 0 && strings.Contains(c.Name, " "):
			refuse("%s already is %s in another row", c.Name, before[0].Accepted)
			continue
		case len(before) > 0: // a genus with two names today was split
			for k := range before {
				before[k].Kind = Split
			}
			c.Kind = Split
		}
		own.changes[c.Name] = append(own.changes[c.Name], c)
	}
	all := &Names{changes: map[string][]Change{}}
	for name, list := range builtinNames().changes {
		for _, c := range list {
			if c.Kind != Split && own.chainHas(c.Accepted, c.Name) {
				continue
			}
			all.changes[name] = append(all.changes[name], c)
		}
	}
	for name, list := range own.changes {
		split := len(list) > 1
		for _, c := range all.changes[name] {
			split = split || c.Kind == Split
			if c.Kind == Split && !slices.ContainsFunc(list, func(o Change) bool { return o.Accepted == c.Accepted }) {
				list = append(list, c)
			}
		}
		for i := range list {
			if split {
				list[i].Kind = Split
			}
		}
		all.changes[name] = list
	}
	for _, c := range rows {
		if c.Name == c.Accepted {
			delete(all.changes, c.Name)
		}
	}
	return all, errs
}

// RowError is what is wrong with one of the rows given to With.
type RowError struct {
	Row int // place in the rows, from 0
	Err error
}

// Error says what is wrong.
func (e *RowError) Error() string { return e.Err.Error() }

// Unwrap gives the fault without its place.
func (e *RowError) Unwrap() error { return e.Err }

// maxChain bounds a chain of changes: names change twice or three times.
const maxChain = 50

// change gives the one change of a name that takes it to another, false where
// there is none or the name was split.
func (n *Names) change(name string) (Change, bool) {
	if n == nil {
		return Change{}, false
	}
	list := n.changes[name]
	if len(list) != 1 || list[0].Kind == Split {
		return Change{}, false
	}
	return list[0], true
}

// chain gives a name and those that it became, one after the other.
func (n *Names) chain(name string) []string {
	out := []string{name}
	for len(out) < maxChain {
		c, ok := n.change(name)
		if !ok || slices.Contains(out, c.Accepted) {
			break
		}
		name = c.Accepted
		out = append(out, name)
	}
	return out
}

func (n *Names) chainHas(name, other string) bool { return slices.Contains(n.chain(name), other) }

// Current gives the name in use for a name at genus or below and the change
// that led to it, false where the table knows no other. A name with a doubt
// ("cf.") keeps it. A species of a genus that has another name goes with its
// genus; one of a genus that was split goes only by a row of its own.
func (n *Names) Current(name refs.Name) (refs.Name, Change, bool) {
	if n == nil || name.Genus == "" {
		return name, Change{}, false
	}
	out, first := name, Change{}
	for seen := map[string]bool{}; !seen[out.Taxon()]; {
		seen[out.Taxon()] = true
		c, ok := n.change(out.Taxon())
		genusOnly := false
		if !ok && out.Epithet != "" {
			if c, ok = n.change(inAnyGender(n, out)); !ok {
				c, ok = n.change(out.Genus)
				genusOnly = ok
			}
		}
		if !ok {
			break
		}
		if first.Name == "" {
			first = c
		} else {
			first.Accepted = c.Accepted
		}
		genus, epithet, _ := strings.Cut(c.Accepted, " ")
		out.Genus = genus
		switch {
		case epithet != "":
			out.Epithet = epithet
		case !genusOnly:
			out.Epithet = ""
		}
	}
	if first.Name == "" || out.Taxon() == name.Taxon() {
		return name, Change{}, false
	}
	return out, first, true
}

// inAnyGender gives the spelling in which the table has a binomial whose
// epithet may follow another gender ("Boletus badia"), empty where it has none.
func inAnyGender(n *Names, name refs.Name) string {
	for _, epithet := range refs.Genders(name.Epithet) {
		if b := name.Genus + " " + epithet; len(n.changes[b]) > 0 {
			return b
		}
	}
	return ""
}

// Genera gives the genera of the names that changed, sorted.
func (n *Names) Genera() []string {
	if n == nil {
		return nil
	}
	seen := map[string]bool{}
	for name := range n.changes {
		genus, _, _ := strings.Cut(name, " ")
		seen[genus] = true
	}
	return slices.Sorted(maps.Keys(seen))
}

// Parts gives the genera that a genus held in its wide sense, sorted, none
// where it was not split.
func (n *Names) Parts(genus string) []string {
	var out []string
	if n == nil {
		return nil
	}
	for _, c := range n.changes[genus] {
		if c.Kind == Split {
			out = append(out, c.Accepted)
		}
	}
	slices.Sort(out)
	return out
}

// SplitOf gives the row that says that a genus in its wide sense holds
// another.
func (n *Names) SplitOf(wide, part string) (Change, bool) {
	if n == nil {
		return Change{}, false
	}
	for _, c := range n.changes[wide] {
		if c.Kind == Split && c.Accepted == part {
			return c, true
		}
	}
	return Change{}, false
}

// SpeciesOf gives the epithets of the species of a genus that the table names,
// old or in use, sorted.
func (n *Names) SpeciesOf(genus string) []string {
	if n == nil {
		return nil
	}
	var out []string
	add := func(name string) {
		if g, epithet, ok := strings.Cut(name, " "); ok && g == genus && !slices.Contains(out, epithet) {
			out = append(out, epithet)
		}
	}
	for name, list := range n.changes {
		add(name)
		for _, c := range list {
			add(c.Accepted)
		}
	}
	slices.Sort(out)
	return out
}
