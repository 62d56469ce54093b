package refs

import (
	"reflect"
	"testing"

	"github.com/stretchr/testify/require"
)

// A slice that is added to a scanIndex must be among its arrays, or it would
// be missing from what is opened.
func TestIndexHoldsTheScanIndex(t *testing.T) {
	lib := awkwardLibrary(t)
	want := lib.scanIndexOf()
	require.Len(t, want.arrays(), reflect.TypeFor[scanIndex]().NumField())
	names := map[string]bool{}
	for _, a := range append(want.arrays(), (&store{}).arrays()...) {
		require.False(t, names[a.name], a.name)
		names[a.name] = true
		require.Less(t, len(a.name), len(containerEntry{}.Name))
	}
	require.Equal(t, want, throughIndex(t, lib).scanIndexOf())
	require.NoError(t, want.check(lib.Len()))
}

// Whatever is looked up by a number that leads outside is seen at once.
func TestScanIndexCheck(t *testing.T) {
	lib := awkwardLibrary(t)
	last := len(lib.scanIndexOf().lengths) - 1
	for what, spoil := range map[string]func(*scanIndex){
		"unit":            func(x *scanIndex) { x.unitOf[3] = int32(last) + 1 },
		"negative unit":   func(x *scanIndex) { x.unitOf[3] = -1 },
		"another unit":    func(x *scanIndex) { x.unitOf[3] = x.unitOf[4] },
		"record":          func(x *scanIndex) { x.records[0] = int32(lib.Len()) },
		"record twice":    func(x *scanIndex) { x.records[0] = x.records[1] },
		"no record":       func(x *scanIndex) { x.recordStarts[1] = 0 },
		"record start":    func(x *scanIndex) { x.recordStarts[1] = int32(lib.Len()) + 5 },
		"letters":         func(x *scanIndex) { x.letters = x.letters[1:] },
		"letter start":    func(x *scanIndex) { x.letterStarts[last]++ },
		"length":          func(x *scanIndex) { x.lengths[last] += 16 },
		"negative length": func(x *scanIndex) { x.lengths[0] = -1 },
		"bases":           func(x *scanIndex) { x.bases[0] = x.lengths[0] + 1 },
		"member":          func(x *scanIndex) { x.members[0] = int32(last) + 1 },
		"member start":    func(x *scanIndex) { x.memberStarts[0] = -1 },
		"radius":          func(x *scanIndex) { x.radii[0] = 1 },
		"radii":           func(x *scanIndex) { x.radii = nil },
		"group start":     func(x *scanIndex) { x.groupStarts[1] = 0 },
		"group radius":    func(x *scanIndex) { x.groupRadii[0] = -1 },
		"first of group":  func(x *scanIndex) { x.groupFirst[0]++ },
		"last away":       func(x *scanIndex) { x.awayLast[0] = x.aways[0] + 1 },
		"least of group":  func(x *scanIndex) { x.least[x.clusters()]++ },
		"least":           func(x *scanIndex) { x.least[0]++ },
		"most":            func(x *scanIndex) { x.most[0]-- },
		"ns":              func(x *scanIndex) { x.ns[0]++ },
		"open":            func(x *scanIndex) { x.open[0] = -1 },
		"tile":            func(x *scanIndex) { x.tiles[0] = noTile + 1 },
		"tile start":      func(x *scanIndex) { x.tileStarts[last]++ },
		"words":           func(x *scanIndex) { x.words = x.words[1:] },
		"no clusters":     func(x *scanIndex) { x.memberStarts = nil },
	} {
		x := newScanIndex(lib.Len(), lib.seqOf)
		require.NoError(t, x.check(lib.Len()))
		spoil(x)
		require.ErrorIs(t, x.check(lib.Len()), errDamaged, what)
	}
}
