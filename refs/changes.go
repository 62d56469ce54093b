package refs

import (
	"maps"
	"slices"
	"strings"
)

// ChangeKind is what happened to a name.
type ChangeKind string

// The kinds.
const (
	Moved      ChangeKind = "moved"    // the species stands in another genus today
	Synonym    ChangeKind = "synonym"  // two names of one species, or of one genus with all its species
	Respelling ChangeKind = "spelling" // the same name in the spelling in use
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

// Names is a table of changed names. Nil knows none.
type Names struct {
	// changes are those of a name: one, or several where a genus was split.
	changes map[string][]Change
}

// NewNames makes a table. A name has one row, a genus that was split one for
// each part. Circles are cut where they close.
func NewNames(rows []Change) *Names {
	n := &Names{changes: map[string][]Change{}}
	for _, c := range rows {
		n.changes[c.Name] = append(n.changes[c.Name], c)
	}
	return n
}

// Of gives the rows of a name.
func (n *Names) Of(name string) []Change {
	if n == nil {
		return nil
	}
	return slices.Clone(n.changes[name])
}

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

// Current gives the name in use for a name at genus or below and the change
// that led to it, false where the table knows no other. A name with a doubt
// ("cf.") keeps it. A species of a genus that has another name goes with its
// genus; one of a genus that was split goes only by a row of its own.
func (n *Names) Current(name Name) (Name, Change, bool) {
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
func inAnyGender(n *Names, name Name) string {
	for _, epithet := range Genders(name.Epithet) {
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

// Splits gives the rows that say which genera a genus held in its wide sense,
// none where it was not split.
func (n *Names) Splits(genus string) []Change {
	return slices.DeleteFunc(n.Of(genus), func(c Change) bool { return c.Kind != Split })
}

// Holding gives the rows of the genera that held a genus in their wide sense,
// by name.
func (n *Names) Holding(genus string) []Change {
	return n.leading(func(c Change) bool { return c.Kind == Split && c.Accepted == genus })
}

// LeadingTo gives the rows of the names of which the one in use is of a genus,
// or is it, by name.
func (n *Names) LeadingTo(genus string) []Change {
	return n.leading(func(c Change) bool {
		if c.Kind == Split {
			return false
		}
		old := Name{}
		old.Genus, old.Epithet, _ = strings.Cut(c.Name, " ")
		to, _, ok := n.Current(old)
		return ok && to.Genus == genus
	})
}

func (n *Names) leading(keep func(Change) bool) []Change {
	if n == nil {
		return nil
	}
	var out []Change
	for _, name := range slices.Sorted(maps.Keys(n.changes)) {
		for _, c := range n.changes[name] {
			if keep(c) {
				out = append(out, c)
			}
		}
	}
	return out
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
