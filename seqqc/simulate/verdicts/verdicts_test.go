package main

import (
	"bytes"
	"context"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
	"forayseq/refs"
	"forayseq/refs/fieldguide"
	"forayseq/seqqc"
)

// One plate with every scenario, through the real stages: what must hold of each
// voucher, and that the tables are sums of the same vouchers.
func TestMixedPlate(t *testing.T) {
	if testing.Short() {
		t.Skip("some ten seconds")
	}
	all, err := simulated(t.Context(), newWorld(3), wells, 0)
	require.NoError(t, err)
	require.Len(t, all, wells)
	m := measured(all)
	seen, right, decided := map[string]bool{}, 0, 0
	for _, o := range all {
		seen[o.scenario] = true
		require.False(t, o.apart() && o.verdict.Kind == seqqc.Agrees, "%s %s: %s", o.code, o.scenario, o.verdict.Reason)
		require.False(t, o.clean && accused(o.verdict), "%s %s: %s", o.code, o.scenario, o.verdict.Reason)
		right += count01(o.asExpected())
		decided += count01(o.clean && o.verdict.Kind != seqqc.Undetermined)
	}
	require.Len(t, seen, len(singles)+7, "singles, exchanges of two and three, reads crossed, blanks and neighbours")
	require.GreaterOrEqual(t, right, 90, "of %d verdicts", wells)
	require.Equal(t, decided, m.cleanDecided.right)
	require.Zero(t, m.agreesApart.right)
	require.GreaterOrEqual(t, m.agreesApart.all, 30)

	for _, table := range []map[[2]string]int{m.verdicts, m.causes} {
		sum := 0
		for _, n := range table {
			sum += n
		}
		require.Equal(t, wells, sum)
	}
	sum := 0
	for _, s := range m.scenarios {
		require.LessOrEqual(t, m.first[s].right, m.second[s].right, s)
		sum += m.expected[s].right
	}
	require.Equal(t, right, sum)

	var out bytes.Buffer
	require.NoError(t, m.write(&out))
	require.Equal(t, wells, sumOfConfusion(t, out.String(), "true verdict"))
	require.Equal(t, wells, sumOfConfusion(t, out.String(), "true cause"))
}

func count01(is bool) int {
	if is {
		return 1
	}
	return 0
}

// sumOfConfusion adds up a written table.
func sumOfConfusion(t *testing.T, text, title string) (sum int) {
	t.Helper()
	_, rest, found := strings.Cut(text, "\n"+title)
	require.True(t, found, title)
	table, _, _ := strings.Cut(rest, "\n\n")
	for _, row := range strings.Split(strings.TrimSpace(table), "\n")[1:] {
		for _, cell := range strings.Split(row, "\t")[1:] {
			n, err := strconv.Atoi(cell)
			require.NoError(t, err, row)
			sum += n
		}
	}
	return sum
}

// A moved plate is told as one, and the exchanges on a clean plate are found.
func TestMovedAndCleanPlate(t *testing.T) {
	if testing.Short() {
		t.Skip("some ten seconds")
	}
	w := newWorld(4)
	for name, make := range map[string]func(maker) ([]voucher, error){
		"moved": func(m maker) ([]voucher, error) { return movedPlate(m, false) },
		"clean": cleanPlate,
	} {
		m := maker{w, w.rng(name)}
		plate, err := make(m)
		require.NoError(t, err)
		all, err := judge(t.Context(), m, plate)
		require.NoError(t, err)
		got := measured(all)
		require.Zero(t, got.agreesApart.right)
		if name == "moved" {
			require.GreaterOrEqual(t, got.first["plate moved"].right, wells*8/10)
			continue
		}
		require.Zero(t, got.cleanAccused.right)
		require.Equal(t, wells-5, got.cleanDecided.all)
		require.Equal(t, got.cleanDecided.all, got.cleanDecided.right)
		require.GreaterOrEqual(t, got.exchangesFound.right, 4)
	}
}

// The scenarios are only what they are called if the invented taxa lie between
// the thresholds (Vu et al. 2019, Studies in Mycology 92: 135-154: species 99.6,
// genus 94.3, family 88.5) and no two genera are one by a change of names.
func TestWorld(t *testing.T) {
	w := newWorld(1)
	identity := func(a, b clade, species string) float64 {
		x, y := w.species(a, ordinary[0]).ITS(), w.species(b, species).ITS()
		al, err := align.Overlap(x, y, align.ITS)
		require.NoError(t, err)
		c, err := al.Count(x, y)
		require.NoError(t, err)
		return c.IdentityPct()
	}
	taxonomy, names := refs.NewTaxonomy(nil, nil), fieldguide.BuiltinNames()
	known := names.Genera()
	for i, a := range clades {
		l, ok := taxonomy.Lookup(a.genus)
		require.True(t, ok, a.genus)
		require.Equal(t, a.family, l.Family)
		require.Equal(t, a.order, l.Order)
		got := identity(a, a, ordinary[1])
		require.True(t, got > 94.3 && got < 99.6, "species of %s: %.1f %%", a.genus, got)
		for _, b := range clades[:i] {
			require.False(t, oneInSomeBook(a.genus, b.genus), "%s and %s", a.genus, b.genus)
			if a.order != b.order { // too far to be aligned whole
				continue
			}
			if got := identity(a, b, ordinary[0]); a.family == b.family {
				require.True(t, got > 86 && got < 96, "%s and %s, one family: %.1f %%", a.genus, b.genus, got)
			} else {
				require.Less(t, got, 91.0, "%s and %s, two families", a.genus, b.genus)
			}
		}
	}
	for _, p := range [][2]string{{"Xerocomus", "Boletus"}, {"Boletus", "Xerocomus"}, {"Xerocomellus", "Imleria"}, {"Nolanea", "Entoloma"}} {
		require.True(t, oneInSomeBook(p[0], p[1]), p)
	}
	for _, p := range oldNames {
		if p != batchName {
			require.Contains(t, known, p[0])
		}
	}
	for _, p := range absentKin {
		l, ok := taxonomy.Lookup(p[0])
		require.True(t, ok, p[0])
		require.Equal(t, cladeOf(p[1]).family, l.Family)
	}
	require.Len(t, w.wrong, len(clades))
	require.Equal(t, w.records, bytes.Count(w.library, []byte(">")))
}

// Wilson 1927 (Journal of the American Statistical Association 22: 209-212): the
// bounds of no case in n are 0 and z²/(n + z²).
func TestWilson(t *testing.T) {
	const z2 = 1.959964 * 1.959964
	lo, hi := wilson(0, 1000)
	require.InDelta(t, 0, lo, 1e-9)
	require.InDelta(t, z2/(1000+z2), hi, 1e-9)
	lo, hi = wilson(1000, 1000)
	require.InDelta(t, 1000/(1000+z2), lo, 1e-9)
	require.InDelta(t, 1, hi, 1e-9)
	require.Equal(t, "0\t0\t-\t-", count{}.String())
	require.Equal(t, "1\t2\t50.0\t9.5-90.5", count{1, 2}.String())
}

func TestArguments(t *testing.T) {
	t.Setenv("FORAYSEQ_OPEN_DATA", "")
	require.Error(t, run(context.Background(), []string{"-vouchers", "many"}, &bytes.Buffer{}))
	require.ErrorContains(t, run(context.Background(), []string{"-vouchers", "0", "-clean", "0", "-real", "1"}, &bytes.Buffer{}), "FORAYSEQ_OPEN_DATA")
}

// Published sequences under their own and under wrong names (TreeBASE by way of
// supertreebase at d9efa865). The limits are those of a small sample; the whole
// is measured with -real.
func TestPublishedLabels(t *testing.T) {
	if testing.Short() {
		t.Skip("half a minute")
	}
	folder := os.Getenv("FORAYSEQ_OPEN_DATA")
	if folder == "" {
		t.Skip("FORAYSEQ_OPEN_DATA is not set: the published sequences are not here")
	}
	list, err := testPublished(t.Context(), folder, 12, 7)
	require.NoError(t, err)
	require.Len(t, list, len(strata))
	for _, s := range list {
		t.Logf("%s: %v", s.name, s.kinds)
		require.Zero(t, s.apartAgrees.right, s.name)
		if s.name == strata[0].name {
			require.Equal(t, 12, s.queries)
			require.LessOrEqual(t, s.conflicts.right, 1)
			require.GreaterOrEqual(t, s.kinds[seqqc.Agrees], 8)
			continue
		}
		require.GreaterOrEqual(t, s.conflicts.right*10, s.conflicts.all*7, s.name)
	}
}
