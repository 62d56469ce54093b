package fieldguide_test

import (
	"fmt"

	"forayseq/refs"
	"forayseq/refs/fieldguide"
)

func ExampleNamesWith() {
	names, errs := fieldguide.NamesWith([]refs.Change{
		{Name: "Russula ficta", Accepted: "Russula synthetica", Kind: refs.Synonym, Ground: "our own list"},
		{Name: "Russula synthetica", Accepted: "Russula ficta", Kind: refs.Synonym},
	})
	fmt.Println(errs)
	for _, label := range []string{"Russula ficta", "Xerocomus badius", "Boletus edulis"} {
		name, change, changed := names.Current(refs.ParseName(label))
		fmt.Printf("%s, %v %q\n", name.Taxon(), changed, change.Kind)
	}
	fmt.Println(names.Splits("Lactarius")[0].Accepted)
	// Output:
	// [the rows go round in a circle: Russula synthetica, Russula ficta, Russula synthetica]
	// Russula synthetica, true "synonym"
	// Imleria badia, true "moved"
	// Boletus edulis, false ""
	// Lactifluus
}

func ExampleGroups_Find() {
	groups := fieldguide.GroupsWith([]fieldguide.Group{{Name: "boot jelly", Taxa: []string{"Tremella"}}})
	for _, label := range []string{"Milkcaps?", "boot jelly", "little brown mushroom", "Russula emetica"} {
		group, doubt, ok := groups.Find(label)
		fmt.Printf("%q %v %q %v\n", group.Name, group.Taxa, doubt, ok)
	}
	// Output:
	// "milk-cap" [Lactarius Lactifluus Multifurca] "?" true
	// "boot jelly" [Tremella] "" true
	// "mushroom" [] "" true
	// "" [] "" false
}
