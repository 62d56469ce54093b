package cmd_test

import (
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// mayImport says which packages of this module each package may import,
// below "forayseq/". A package that is not listed is an error, so a new one
// has to find its place here first.
var mayImport = map[string][]string{
	"align": {},
	// Programs that write assembly; they know none of our packages.
	"align/gen/affine":   {},
	"align/gen/distance": {},
	"refs":               {"align"},
	// Invented libraries, and what measures the search in them.
	"refs/phylogeny":  {"align"},
	"refs/scanbench":  {"align", "refs", "refs/phylogeny"},
	"refs/fieldguide": {"refs"}, // what field guides tell
	"seqqc":           {"align", "refs", "refs/fieldguide"},

	// Stages take domain types and never know of one another.
	"seqqc/sheet":   {"refs", "refs/fieldguide", "seqqc"},
	"seqqc/trace":   {"seqqc"},
	"seqqc/signal":  {"align", "seqqc"},
	"seqqc/trim":    {"align", "seqqc"},
	"seqqc/contig":  {"align", "seqqc"},
	"seqqc/region":  {"align", "seqqc"},
	"seqqc/alleles": {"align", "seqqc"},
	"seqqc/match":   {"align", "refs", "seqqc"},
	"seqqc/verdict": {"align", "refs", "refs/fieldguide", "seqqc"},
	"seqqc/cross":   {"align", "refs", "seqqc"},

	// What people decided, in a file that grows.
	"seqqc/decisions": {"align", "seqqc"},

	"seqqc/batch": {
		"align", "refs", "refs/fieldguide", "seqqc", "seqqc/sheet", "seqqc/trace", "seqqc/signal", "seqqc/trim", "seqqc/contig",
		"seqqc/region", "seqqc/alleles", "seqqc/match", "seqqc/verdict", "seqqc/tree", "seqqc/cross",
		"seqqc/decisions", "seqqc/outfile",
	},

	// Outputs read a result, never a stage.
	// Questions that a contig leaves open, pictures, and trees: data in, data or
	// markup out.
	"seqqc/doubts": {"align", "seqqc"},
	"seqqc/draw":   {"refs", "seqqc", "seqqc/doubts"},
	"seqqc/tree":   {},

	// A page to decide on; what is behind it comes from the command.
	"seqqc/review": {"align", "seqqc", "seqqc/decisions", "seqqc/doubts", "seqqc/draw"},

	"seqqc/report":    {"refs", "seqqc", "seqqc/outfile", "seqqc/doubts", "seqqc/draw", "seqqc/workorder"},
	"seqqc/workorder": {"seqqc"},
	"seqqc/outfile":   {},

	// Names that archives take for a country.
	"seqqc/country":    {},
	"seqqc/deposit":    {"refs", "seqqc", "seqqc/country"},
	"seqqc/occurrence": {"refs", "seqqc", "seqqc/deposit"},
	"seqqc/ledger":     {"refs", "seqqc"},
	"seqqc/letters":    {"refs", "seqqc"},

	// Invented data: a simulator for tests, and the demo batch made with it.
	"seqqc/simulate": {"align", "seqqc"},
	"seqqc/demo":     {"align", "refs", "seqqc", "seqqc/simulate", "seqqc/trace"},
	// Measures the stages on reads of known truth.
	"seqqc/simulate/verdicts":  {"refs", "refs/fieldguide", "seqqc", "seqqc/batch", "seqqc/match", "seqqc/region", "seqqc/simulate", "seqqc/trace"}, // and the verdicts
	"seqqc/simulate/benchmark": {"align", "seqqc", "seqqc/batch", "seqqc/signal", "seqqc/simulate", "seqqc/trace"},

	"cmd": {
		"refs", "seqqc", "seqqc/batch", "seqqc/demo", "seqqc/deposit", "seqqc/ledger", "seqqc/letters", "seqqc/occurrence", "seqqc/outfile", "seqqc/match", "seqqc/report", "seqqc/sheet",
		"seqqc/decisions", "seqqc/review",
	},
	"cmd/forayseq": {"cmd"},
}

func TestImportsRunOneWay(t *testing.T) {
	list := exec.Command("go", "list", "-json=ImportPath,Imports,XTestImports,TestImports", "forayseq/...")
	out, err := list.Output()
	require.NoError(t, err)
	stages := map[string]bool{}
	for _, s := range []string{"sheet", "trace", "signal", "trim", "contig", "region", "alleles", "match", "verdict", "cross"} {
		stages["seqqc/"+s] = true
	}
	seen := 0
	for dec := json.NewDecoder(strings.NewReader(string(out))); ; {
		var pkg struct {
			ImportPath                         string
			Imports, TestImports, XTestImports []string
		}
		if err := dec.Decode(&pkg); errors.Is(err, io.EOF) {
			break
		} else {
			require.NoError(t, err)
		}
		seen++
		name := strings.TrimPrefix(pkg.ImportPath, "forayseq/")
		allowed, listed := mayImport[name]
		require.True(t, listed, "package %s has no place in the list of imports", name)
		for _, imp := range pkg.Imports {
			if ours, ok := strings.CutPrefix(imp, "forayseq/"); ok {
				require.Contains(t, allowed, ours, "%s imports %s", name, ours)
			}
		}
		if stages[name] {
			for _, imp := range append(pkg.TestImports, pkg.XTestImports...) {
				ours, _ := strings.CutPrefix(imp, "forayseq/")
				require.False(t, stages[ours] && ours != name, "a test of %s imports the stage %s", name, ours)
			}
		}
	}
	require.GreaterOrEqual(t, seen, 15, "go list found too few packages to trust this test")
}
