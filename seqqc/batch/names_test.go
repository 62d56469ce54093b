package batch_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/batch"
	"forayseq/seqqc/simulate"
	"forayseq/seqqc/trace"
)

// named is one voucher of a small batch: its label and whose DNA it holds.
type named struct{ label, dna string }

// namedBatch writes a batch of good pairs of reads, and a library with two
// records of each species in refs, apart as species and genera of one family
// or of none are. The sequences are simulated, the names real.
func namedBatch(t *testing.T, species []string, vouchers []named, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	locus := func(binomial string) simulate.Locus {
		genus, _, _ := strings.Cut(binomial, " ")
		var seed uint64
		for _, c := range genus {
			seed = seed*31 + uint64(c)
		}
		of := simulate.NewLocus(rand.New(rand.NewPCG(seed, 1)), 190, 200)
		for _, c := range binomial {
			seed = seed*31 + uint64(c)
		}
		return of.Evolve(rand.New(rand.NewPCG(seed, 2)), 0.03)
	}
	var fasta bytes.Buffer
	for i, s := range species {
		for k := range 2 {
			l := locus(s)
			if k == 1 {
				l = l.Evolve(rand.New(rand.NewPCG(uint64(i), 3)), 0.001)
			}
			fmt.Fprintf(&fasta, ">SYN%02d%d %s\n%s\n", i, k, s, l.Seq())
		}
	}
	sheet := "voucher,field_id\n"
	require.NoError(t, os.Mkdir(filepath.Join(dir, "reads"), 0o755))
	for i, v := range vouchers {
		code := fmt.Sprintf("NM-%02d", i+1)
		sheet += fmt.Sprintf("%s,\"%s\"\n", code, v.label)
		f, r, err := simulate.Amplicon(locus(v.dna).Seq(), "ITS1-F", "ITS4")
		require.NoError(t, err)
		for primer, template := range map[string][]byte{"ITS1F": f, "ITS4": r} {
			var file bytes.Buffer
			require.NoError(t, trace.EncodeABIF(&file, simulate.Read(rand.New(rand.NewPCG(uint64(i), uint64(len(primer)))), template, simulate.Good())))
			require.NoError(t, os.WriteFile(filepath.Join(dir, "reads", code+"_"+primer+".ab1"), file.Bytes(), 0o644))
		}
	}
	files["vouchers.csv"], files["refs.fasta"] = sheet, fasta.String()
	for name, text := range files {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644))
	}
	return dir
}

// What becomes of changed names, words for groups and slips of the pen, from
// the files of a batch to its verdicts.
func TestNamesFromFileToVerdict(t *testing.T) {
	rows := []struct {
		label, dna string
		verdict    seqqc.VerdictKind
		flag       seqqc.Flag
		says       string
	}{
		{"Boletus sp.", "Suillellus luridus", seqqc.Renamed, "", "Boletus in its wide sense holds Suillellus"},
		{"Boletus luridus", "Suillellus luridus", seqqc.Renamed, "", "Boletus luridus is called Suillellus luridus today"},
		{"Suillellus luridus", "Suillellus luridus", seqqc.Agrees, "", "down to the species"},
		{"Boletus edulis", "Suillellus luridus", seqqc.Conflict, "", "part at the genus"},
		{"Boletus edulis", "Boletus edulis", seqqc.Agrees, "", ""},
		{"Boletus sp.", "Russula emetica", seqqc.Conflict, "", ""},
		{"Coprinellus micaceus", "Coprinus micaceus", seqqc.Renamed, "", "the references have the older name"},
		{"Alpha ficta", "Russula emetica", seqqc.Renamed, "", "as names.csv says"},
		{"bolete", "Suillellus luridus", seqqc.Refines, "", "narrows the field name bolete down"},
		{"coral fungus", "Amanita muscaria", seqqc.Conflict, "", ""},
		{"Blob thing", "Amanita muscaria", seqqc.Refines, "", ""},
		{"brittlegill", "Russula emetica", seqqc.Refines, "", ""},
		{"little brown mushroom", "Amanita muscaria", seqqc.Undetermined, "", "cannot be tested"},
		{"unbestimmt", "Amanita muscaria", seqqc.Undetermined, "", "no name to test"},
		{"Rusula emmetica", "Russula emetica", seqqc.Agrees, seqqc.SpellingAssumed, "down to the species"},
		{"Amanita muscarius", "Amanita muscaria", seqqc.Agrees, seqqc.SpellingAssumed, ""},
		{"Russule emetica", "Russula emetica", seqqc.Agrees, seqqc.SpellingAssumed, "down to the species"},
		{"Russule émétique", "Russula emetica", seqqc.Refines, "", "narrows the field name brittlegill down"},
		{"Fly agaric - Amanita muscaria", "Amanita muscaria", seqqc.Agrees, "", "down to the species"},
		{"Russula xx Amanita", "Amanita muscaria", seqqc.Undetermined, "", "holds more than one name (Russula, Amanita)"},
		{"milk-cap", "Amanita muscaria", seqqc.Conflict, "", "the library has no record of Lactarius, Lactifluus and Multifurca"},
	}
	var vouchers []named
	for _, r := range rows {
		vouchers = append(vouchers, named{r.label, r.dna})
	}
	dir := namedBatch(t, []string{"Boletus edulis", "Suillellus luridus", "Suillellus queletii", "Russula emetica", "Amanita muscaria", "Coprinus micaceus", "Ramaria stricta"},
		vouchers, map[string]string{
			"names.csv":  "\ufeffName;Accepted\nAlpha ficta;Russula emetica\n;Russula\nBeta;123\nGamma ficta;Delta ficta\nDelta ficta;Gamma ficta\n",
			"groups.csv": "Group\tTaxon\nblob thing\tAmanita\nblob thing\tNoSuchGenus\n",
		})
	res, err := batch.Run(t.Context(), batch.Options{Dir: dir, Settings: batch.DefaultSettings()})
	require.NoError(t, err)
	for i, r := range rows {
		v := res.Vouchers[i].Verdict
		require.Equal(t, r.verdict, v.Kind, "%s, DNA of %s: %s", r.label, r.dna, v.Reason)
		if r.flag != "" {
			require.Contains(t, v.Flags, r.flag, r.label)
		} else {
			require.NotContains(t, v.Flags, seqqc.SpellingAssumed, r.label)
		}
		require.Contains(t, v.Reason, r.says, r.label)
		if v.Kind == seqqc.Agrees {
			require.Equal(t, res.Vouchers[i].Voucher.Field.Genus, res.Vouchers[i].ChosenSample().Match.Lineage.Genus)
		}
	}
	require.Equal(t, "bolete", res.Vouchers[8].Voucher.Field.Taxon())
	require.Equal(t, refs.NoRank, res.Vouchers[8].Voucher.Field.Rank)
	require.Equal(t, seqqc.FieldNameUnknown, res.Vouchers[12].Verdict.ReasonCode)
	require.Equal(t, seqqc.NoFieldName, res.Vouchers[13].Verdict.ReasonCode)
	var problems []string
	for _, p := range res.Problems {
		problems = append(problems, fmt.Sprintf("%s %d %s %v: %s", p.File, p.Line, p.Field, p.Unread, p.What))
	}
	for _, want := range []string{
		"names.csv 3 Name true: the cell is empty",
		`names.csv 4 accepted true: "123" is no genus and no species`,
		"names.csv 6 accepted true: the rows go round in a circle: Delta ficta, Gamma ficta, Delta ficta",
		`groups.csv 3 taxon true: "NoSuchGenus" is in none of the lists of names`,
	} {
		require.Contains(t, problems, want)
	}
}

// --names goes before the folder's own list, and a list that is none ends the
// run with what to do.
func TestNamesOption(t *testing.T) {
	dir := namedBatch(t, []string{"Russula emetica", "Amanita muscaria"}, []named{{"Alpha ficta", "Russula emetica"}}, map[string]string{
		"names.csv": "name,accepted\nAlpha ficta,Amanita muscaria\n", "other.tsv": "NAME\tACCEPTED\nAlpha ficta\tRussula emetica\n", "bad.csv": "a,b\n1,2\n",
	})
	for _, c := range []struct {
		names string
		want  seqqc.VerdictKind
	}{{"", seqqc.Conflict}, {"other.tsv", seqqc.Renamed}} {
		opt := batch.Options{Dir: dir, Settings: batch.DefaultSettings()}
		if c.names != "" {
			opt.Names = filepath.Join(dir, c.names)
		}
		res, err := batch.Run(t.Context(), opt)
		require.NoError(t, err)
		require.Equal(t, c.want, res.Vouchers[0].Verdict.Kind, "%s: %s", c.names, res.Vouchers[0].Verdict.Reason)
	}
	_, err := batch.Run(t.Context(), batch.Options{Dir: dir, Names: filepath.Join(dir, "bad.csv"), Settings: batch.DefaultSettings()})
	var hinted *batch.HintError
	require.ErrorAs(t, err, &hinted)
	require.ErrorContains(t, err, "there is no column name")
}
