package fieldguide

import (
	_ "embed"
	"slices"
	"strings"
	"sync"

	"forayseq/refs"
)

// hostsTSV is the built-in table of hosts; its own header says where it comes
// from.
//
//go:embed hosts.tsv
var hostsTSV string

// Hosting says how a fungus that grows on other fungi lies to one of them.
type Hosting int

// The kinds.
const (
	// HostUntold: the fungus keeps to no hosts, or the table has none for it, or
	// the other name is too broad to tell.
	HostUntold Hosting = iota
	UsualHost
	UnusualHost
)

// anyHost stands in the table for fungi of every kind.
const anyHost = "*"

// builtinHosts is the parsed table by genus. Nothing changes it.
var builtinHosts = sync.OnceValue(func() map[string][]string {
	hosts := map[string][]string{}
	for cells := range rowsOf(hostsTSV) {
		hosts[cells[0]] = strings.Fields(cells[1])
	}
	return hosts
})

// Hosts gives the genera and families on which a genus is usually found, none
// where the table tells of no hosts or it keeps to none.
func Hosts(genus string) []string {
	hosts := builtinHosts()[genus]
	if slices.Contains(hosts, anyHost) {
		return nil
	}
	return slices.Clone(hosts)
}

// HostOf says whether a fungus of this lineage is a usual host of a genus. A
// name above genus is a usual host where its own family is in the table, and
// otherwise tells nothing.
func HostOf(genus string, host refs.Lineage) Hosting {
	hosts := Hosts(genus)
	switch {
	case len(hosts) == 0:
		return HostUntold
	case slices.Contains(hosts, host.Genus) || slices.Contains(hosts, host.Family):
		return UsualHost
	case host.Genus == "" || host.Genus == genus:
		return HostUntold
	}
	return UnusualHost
}

// rowsOf gives the rows of a built-in table below its heading, cut at tabs.
func rowsOf(table string) func(yield func([]string) bool) {
	return func(yield func([]string) bool) {
		headed := false
		for line := range strings.Lines(table) {
			if strings.HasPrefix(line, "#") {
				continue
			}
			if headed && !yield(strings.Split(strings.TrimSuffix(line, "\n"), "\t")) {
				return
			}
			headed = true
		}
	}
}
