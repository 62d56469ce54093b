package fieldguide

import (
	"maps"
	"slices"
)

// HostGenera lists the genera of the table of hosts.
func HostGenera() []string { return slices.Sorted(maps.Keys(builtinHosts())) }

// TraitGenera lists the genera of the table of traits.
func TraitGenera() []string { return slices.Sorted(maps.Keys(builtinTraits())) }
