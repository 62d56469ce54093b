package batch

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"forayseq/refs"
	"forayseq/refs/fieldguide"
	"forayseq/seqqc"
	"forayseq/seqqc/sheet"
)

// The names of the two lists a batch folder may hold about names.
const (
	NamesName  = "names.csv"  // name,accepted: names that changed
	GroupsName = "groups.csv" // group,taxon: words that mean more than one taxon
)

// namer understands the names on labels.
type namer struct {
	lib    *refs.Library
	groups *fieldguide.Groups
}

// name reads the name on a label: as a taxon that is known, as a group of the
// field guide, or, where it is neither, as a slip of the pen.
func (n namer) name(label string) refs.Name {
	tax := n.lib.Taxonomy
	name := tax.Resolve(refs.ParseName(label))
	// "Russule emetica" is a slip, and "Russule émétique" French.
	if slip := tax.Respell(name); slip.Respelt && len(n.lib.OfSpecies(slip.Binomial())) > 0 {
		return slip
	}
	name = n.groups.Understand(name, func(taxon string) bool { return tax.RankOf(taxon) != refs.NoRank || n.changed(taxon) })
	if name.Group != "" || n.changed(name.Genus) && !tax.Known(name.Genus) {
		return name
	}
	name = tax.Respell(name)
	return n.lib.RespellEpithet(name, n.lib.Names().SpeciesOf(name.Genus))
}

// changed reports whether a genus stands in the table of changed names.
func (n namer) changed(genus string) bool {
	_, found := slices.BinarySearch(n.lib.Names().Genera(), genus)
	return found
}

// readNames gives the built-in table of changed names with the rows of a list
// put over it; path is empty where there is none. Rows that cannot be used come
// back as problems; an error means that the list could not be read.
func readNames(path string) (*refs.Names, []seqqc.Problem, error) {
	pairs, problems, err := readPairs(path, "name", "accepted")
	if err != nil {
		return nil, nil, err
	}
	file := filepath.Base(path)
	var rows []refs.Change
	var at []int // row of the list
	for _, p := range pairs {
		refuse := func(field, cell string) {
			problems = append(problems, seqqc.Problem{File: file, Line: p.Row, Field: field, Unread: true,
				What: fmt.Sprintf("%q is no genus and no species", cell), Hint: "write a genus, or genus and epithet"})
		}
		from, to := taxonOf(p.First), taxonOf(p.Second)
		switch {
		case from.Genus == "":
			refuse("name", p.First)
			continue
		case to.Genus == "":
			refuse("accepted", p.Second)
			continue
		case from.Epithet == "" && to.Epithet != "":
			problems = append(problems, seqqc.Problem{File: file, Line: p.Row, Field: "accepted", Unread: true,
				What: fmt.Sprintf("%s is a genus, and %s a species", from.Taxon(), to.Taxon()), Hint: "write a genus on both sides, or a species"})
			continue
		case to.Epithet == "":
			to.Epithet = from.Epithet // the species goes to that genus
		}
		kind := refs.Synonym
		if from.Epithet != "" && from.Epithet == to.Epithet || slices.Contains(refs.Genders(from.Epithet), to.Epithet) {
			kind = refs.Moved
		}
		rows = append(rows, refs.Change{Name: from.Taxon(), Accepted: to.Taxon(), Kind: kind, Ground: "as " + file + " says"})
		at = append(at, p.Row)
	}
	names, errs := fieldguide.NamesWith(rows)
	for _, err := range errs {
		p := seqqc.Problem{File: file, Field: "accepted", What: err.Error(), Hint: "mend or remove the row", Unread: true}
		var row *fieldguide.RowError
		if errors.As(err, &row) {
			p.Line = at[row.Row]
		}
		problems = append(problems, p)
	}
	inRows(problems)
	return names, problems, nil
}

// inRows puts the problems of one list into the order of its rows: some show as
// it is read, others by what the rows say.
func inRows(problems []seqqc.Problem) {
	slices.SortStableFunc(problems, func(a, b seqqc.Problem) int { return a.Line - b.Line })
}

// taxonOf reads a cell as a genus or a species. A single word is a genus
// whatever its ending.
func taxonOf(cell string) refs.Name {
	n := refs.ParseName(cell)
	if n.Genus == "" && n.Higher == "" && len(strings.Fields(cell)) == 1 && isWord(cell) {
		n.Genus = strings.ToUpper(cell[:1]) + strings.ToLower(cell[1:])
	}
	return n
}

func isWord(s string) bool {
	return len(s) > 2 && !strings.ContainsFunc(s, func(r rune) bool { return (r < 'a' || r > 'z') && (r < 'A' || r > 'Z') })
}

// readGroups gives the built-in table of groups with those of a list put over
// it: a row for each taxon, or several taxa in one cell with ';' between, and
// '-' where a group means nearly everything. known tells taxa of any rank. path
// is empty where there is no list.
func readGroups(path string, known func(taxon string) bool) (*fieldguide.Groups, []seqqc.Problem, error) {
	pairs, problems, err := readPairs(path, "group", "taxon")
	if err != nil {
		return nil, nil, err
	}
	var groups []fieldguide.Group
	for _, p := range pairs {
		i := slices.IndexFunc(groups, func(g fieldguide.Group) bool { return strings.EqualFold(g.Name, p.First) })
		if i < 0 {
			groups = append(groups, fieldguide.Group{Name: p.First})
			i = len(groups) - 1
		}
		for cell := range strings.FieldsFuncSeq(p.Second, func(r rune) bool { return r == ';' || r == ',' }) {
			taxon := strings.TrimSpace(cell)
			switch {
			case taxon == "" || taxon == "-":
				continue
			case !known(taxon):
				problems = append(problems, seqqc.Problem{File: filepath.Base(path), Line: p.Row, Field: "taxon", Unread: true,
					What: fmt.Sprintf("%q is in none of the lists of names", taxon),
					Hint: "correct its spelling, or give its lineage in a taxonomy table"})
				continue
			}
			groups[i].Taxa = append(groups[i].Taxa, taxon)
		}
	}
	inRows(problems)
	return fieldguide.GroupsWith(groups), problems, nil
}

// readPairs reads a list of two columns, none where path is empty.
func readPairs(path, first, second string) (pairs []sheet.Pair, problems []seqqc.Problem, err error) {
	if path == "" {
		return nil, nil, nil
	}
	err = withFile(path, func(r io.Reader) (err error) {
		pairs, problems, err = sheet.ReadPairs(r, filepath.Base(path), first, second)
		return err
	})
	if err != nil {
		return nil, nil, sheetError(err)
	}
	return pairs, problems, nil
}

// understandNames puts the library under the names in use and reads the names
// on the labels.
func (r *runner) understandNames() error {
	names, problems, err := readNames(findOptional(r.opt.Dir, NamesName, r.opt.Names))
	if err != nil {
		return err
	}
	r.problems(problems...)
	r.lib.TakeNames(names)
	groups, problems, err := readGroups(findOptional(r.opt.Dir, GroupsName, ""),
		func(taxon string) bool { return r.lib.Taxonomy.RankOf(taxon) != refs.NoRank })
	if err != nil {
		return err
	}
	r.problems(problems...)
	labels := namer{r.lib, groups}
	for i := range r.vouchers {
		r.vouchers[i].Field = labels.name(r.vouchers[i].FieldID)
	}
	return nil
}
