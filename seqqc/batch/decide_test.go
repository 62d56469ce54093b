package batch_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
	"forayseq/seqqc"
	"forayseq/seqqc/batch"
	"forayseq/seqqc/decisions"
)

// openDemo opens the demo's batch with only some of its vouchers.
func openDemo(t testing.TB, codes ...string) (*batch.Session, string) {
	t.Helper()
	dir := partOfDemo(t, codes...)
	s, err := batch.Open(t.Context(), batch.Options{Dir: dir, Settings: batch.DefaultSettings()})
	require.NoError(t, err)
	return s, dir
}

// partOfDemo writes the demo's batch with only these vouchers in its sheet, and
// only files that are named like them.
func partOfDemo(t testing.TB, codes ...string) (dir string) {
	t.Helper()
	dir = writeDemo(t)
	sheet, err := os.ReadFile(filepath.Join(dir, batch.SheetName))
	require.NoError(t, err)
	lines := strings.SplitAfter(string(sheet), "\n")
	lines = slices.DeleteFunc(lines[1:], func(line string) bool {
		return !slices.ContainsFunc(codes, func(code string) bool { return strings.HasPrefix(line, code+",") })
	})
	require.GreaterOrEqual(t, len(lines), len(codes))
	heading, _, _ := strings.Cut(string(sheet), "\n")
	require.NoError(t, os.WriteFile(filepath.Join(dir, batch.SheetName), []byte(heading+"\n"+strings.Join(lines, "")), 0o644))
	require.NoError(t, filepath.WalkDir(filepath.Join(dir, batch.ReadsName), func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() || slices.ContainsFunc(codes, func(code string) bool { return strings.Contains(filepath.Base(path), code) }) {
			return err
		}
		return os.Remove(path)
	}))
	return dir
}

func decide(t testing.TB, s *batch.Session, voucher string, what seqqc.DecisionKind, set func(*seqqc.Decision)) seqqc.Decision {
	t.Helper()
	d := seqqc.Decision{Who: "tester", Voucher: voucher, What: what}
	set(&d)
	d, err := s.Decide(t.Context(), d)
	require.NoError(t, err)
	return d
}

// openContig gives the contig of a voucher as it is now.
func openContig(t testing.TB, s *batch.Session, code string) *seqqc.Contig {
	t.Helper()
	v, _, _, err := s.Voucher(code)
	require.NoError(t, err)
	return v.ChosenSample().Contig
}

// at gives a place of the contig by one of its reads, and a code in contig
// direction as that read would have it.
func at(c *seqqc.Contig, pos, read int, code string) (place *seqqc.Place, turned string) {
	p := c.Reads[read]
	on, ok := c.Over(p.File, pos, false)
	if !ok {
		return nil, ""
	}
	if p.Complemented && code != "-" {
		code = string(align.ReverseComplement([]byte(code)))
	}
	return &seqqc.Place{File: p.File, At: on}, code
}

// An edit, named by either read, changes its one base and nothing else, and can
// be taken back; so does one that takes a base out.
func TestEditsOfEveryKind(t *testing.T) {
	const code = "QM-118" // two reads, both strands
	s, dir := openDemo(t, code)
	before := openContig(t, s, code)
	require.Len(t, before.Reads, 2)
	require.NotEqual(t, before.Reads[0].Complemented, before.Reads[1].Complemented)
	for _, pos := range []int{150, 300} {
		for read := range 2 {
			for _, want := range []string{"N", "R", "-", string(align.ReverseComplement(before.Bases[pos : pos+1]))} {
				place, turned := at(before, pos, read, want)
				if place == nil {
					continue
				}
				d := decide(t, s, code, seqqc.DecideBase, func(d *seqqc.Decision) { d.Place, d.Code = place, turned })
				got := openContig(t, s, code)
				middle := strings.ReplaceAll(want, "-", "")
				require.Equal(t, before.Sequence[:pos]+middle+before.Sequence[pos+1:], got.Sequence, "%s at %d by read %d", want, pos, read)
				require.Len(t, got.Phred33, len(got.Sequence))
				require.Equal(t, []seqqc.Edit{{At: pos, Was: before.Sequence[pos : pos+1], Code: want, Decision: d.ID, By: "tester"}}, got.Edits)
				// Every base of every read is where it was, or one to the left.
				for _, p := range got.Reads {
					for on := p.Of.Start; on < p.Of.End; on++ {
						then, was, _ := before.Under(p.File, on)
						now, is, ok := got.Under(p.File, on)
						require.True(t, ok)
						moved := 0
						if want == "-" && then > pos {
							moved = 1
						}
						require.Equal(t, then-moved, now)
						require.Equal(t, was && (want != "-" || then != pos), is)
					}
				}
				// The same after a run from the files alone.
				if pos == 300 && read == 0 {
					res, err := batch.Run(t.Context(), batch.Options{Dir: dir, Settings: batch.DefaultSettings()})
					require.NoError(t, err)
					i := slices.IndexFunc(res.Vouchers, func(v seqqc.VoucherResult) bool { return v.Voucher.Code == code })
					require.Equal(t, got.Sequence, res.Vouchers[i].ChosenSample().Contig.Sequence)
					require.Equal(t, 1, res.Vouchers[i].Reviewed.Edits)
					require.Equal(t, "tester", res.Vouchers[i].Reviewed.By)
				}
				decide(t, s, code, seqqc.DecideUndo, func(x *seqqc.Decision) { x.Undoes = d.ID })
				require.Equal(t, before, openContig(t, s, code), "undone")
			}
		}
	}
}

// Several edits of one contig at once, each as if it were alone; of two about
// one place, named by different reads, the later counts.
func TestSeveralEdits(t *testing.T) {
	const code = "QM-118"
	s, _ := openDemo(t, code)
	before := openContig(t, s, code)
	want := []byte(before.Sequence)
	edits := map[int]string{120: "-", 121: "-", 200: "N", 310: "-", 311: "Y"}
	for pos, letter := range edits {
		place, turned := at(before, pos, 0, letter)
		if place == nil {
			place, turned = at(before, pos, 1, letter)
		}
		require.NotNil(t, place)
		decide(t, s, code, seqqc.DecideBase, func(d *seqqc.Decision) { d.Place, d.Code = place, turned })
		want[pos] = letter[0]
	}
	require.Equal(t, strings.ReplaceAll(string(want), "-", ""), openContig(t, s, code).Sequence)

	// Position 200 again, by the other read.
	for read := range 2 {
		place, turned := at(before, 200, read, "W")
		if place != nil {
			decide(t, s, code, seqqc.DecideBase, func(d *seqqc.Decision) { d.Place, d.Code = place, turned })
			want[200] = 'W'
			require.Equal(t, strings.ReplaceAll(string(want), "-", ""), openContig(t, s, code).Sequence)
		}
	}
	// An edit puts back what another took out, at the place of the read.
	place, turned := at(before, 120, 0, "G")
	if place == nil {
		place, turned = at(before, 120, 1, "G")
	}
	decide(t, s, code, seqqc.DecideBase, func(d *seqqc.Decision) { d.Place, d.Code = place, turned })
	want[120] = 'G'
	require.Equal(t, strings.ReplaceAll(string(want), "-", ""), openContig(t, s, code).Sequence)
}

// What a person decided and no longer fits is told, with its reason, and is not
// applied.
func TestDecisionsThatNoLongerApply(t *testing.T) {
	const code = "QM-118"
	s, dir := openDemo(t, code)
	c := openContig(t, s, code)
	place, turned := at(c, 300, 0, "N")
	require.NotNil(t, place)
	file := place.File
	decide(t, s, code, seqqc.DecideBase, func(d *seqqc.Decision) { d.Place, d.Code = place, turned })
	decide(t, s, code, seqqc.DecideWindow, func(d *seqqc.Decision) { d.File, d.Kept = file, &seqqc.Interval{Start: 60, End: 400} })
	decide(t, s, code, seqqc.DecideVerdict, func(d *seqqc.Decision) { d.Found, d.Verdict = seqqc.Agrees, seqqc.Agrees })
	path := filepath.Join(dir, batch.DecisionsName)
	whole, err := os.ReadFile(path)
	require.NoError(t, err)
	run := func() (*seqqc.Result, string) {
		res, err := batch.Run(t.Context(), batch.Options{Dir: dir, Settings: batch.DefaultSettings()})
		require.NoError(t, err)
		var told []string
		for _, p := range res.Problems {
			if p.File == batch.DecisionsName {
				require.NotEmpty(t, p.Hint)
				require.False(t, p.Unread, "the exit status is that of a run that read all")
				told = append(told, p.What)
			}
		}
		return res, strings.Join(told, "\n")
	}
	_, told := run()
	require.Empty(t, told)
	for name, x := range map[string]struct{ old, new, says string }{
		"a voucher that is gone":      {`"voucher":"QM-118"`, `"voucher":"QM-999"`, "no such voucher"},
		"a read that is gone":         {`"file":"` + file, `"file":"gone/` + file, "no such read"},
		"a read that was called anew": {`"around":"` + aroundOf(t, s, code, place), `"around":"AAAAAAAAAAA`, "called anew"},
		"a stretch beyond the read":   {`"end":400`, `"end":4000`, "the read has"},
		"another verdict was found":   {`"found":"agrees","verdict":"agrees"`, `"found":"conflict","verdict":"conflict"`, "now finds agrees"},
		"overruled, and another now":  {`"found":"agrees","verdict":"agrees"`, `"found":"conflict","verdict":"refines","why":"w"`, "stands, but"},
		"a kind of a later version":   {`"what":"verdict"`, `"what":"photograph"`, "does not know"},
	} {
		changed := strings.ReplaceAll(string(whole), x.old, x.new)
		require.NotEqual(t, string(whole), changed, name)
		require.NoError(t, os.WriteFile(path, []byte(changed), 0o644))
		_, told := run()
		require.Contains(t, told, x.says, name)
	}
	require.NoError(t, os.WriteFile(path, whole[:len(whole)-20], 0o644))
	res, told := run()
	require.Contains(t, told, "cut short")
	require.Equal(t, 2, res.Vouchers[slices.IndexFunc(res.Vouchers, func(v seqqc.VoucherResult) bool { return v.Voucher.Code == code })].Reviewed.Edits)
}

func aroundOf(t *testing.T, s *batch.Session, code string, p *seqqc.Place) string {
	t.Helper()
	_, reads, _, err := s.Voucher(code)
	require.NoError(t, err)
	i := slices.IndexFunc(reads, func(r *seqqc.Read) bool { return r.File == p.File })
	return seqqc.PlaceIn(reads[i], p.At).Around
}

func TestSessionRefuses(t *testing.T) {
	s, dir := openDemo(t, "QM-101", "QM-118")
	c := openContig(t, s, "QM-118")
	file := c.Reads[0].File
	for name, d := range map[string]seqqc.Decision{
		"no such voucher":  {Voucher: "QM-999", What: seqqc.DecideNote, Why: "w"},
		"no such read":     {Voucher: "QM-118", What: seqqc.DecideAside, File: "reads/none.ab1"},
		"another's read":   {Voucher: "QM-101", What: seqqc.DecideAside, File: file},
		"beyond the read":  {Voucher: "QM-118", What: seqqc.DecideOpen, Place: &seqqc.Place{File: file, At: 9999}},
		"before the read":  {Voucher: "QM-118", What: seqqc.DecideOpen, Place: &seqqc.Place{File: file, At: -1}},
		"too long a kept":  {Voucher: "QM-118", What: seqqc.DecideWindow, File: file, Kept: &seqqc.Interval{Start: 0, End: 9999}},
		"nothing to undo":  {Voucher: "QM-118", What: seqqc.DecideUndo, Undoes: "0123456789abcdef"},
		"no nucleotide":    {Voucher: "QM-118", What: seqqc.DecideBase, Place: &seqqc.Place{File: file, At: 100}, Code: "X"},
		"a kind not known": {Voucher: "QM-118", What: "photograph"},
	} {
		d.Who = "tester"
		_, err := s.Decide(t.Context(), d)
		var refused *decisions.RefusedError
		require.ErrorAs(t, err, &refused, name)
	}
	require.NoFileExists(t, filepath.Join(dir, batch.DecisionsName))
	n, _ := s.Changes()
	require.Zero(t, n)
}

// A session that was worked on and a run from the files alone come to the same.
func TestSessionAndRunAgree(t *testing.T) {
	s, dir := openDemo(t, "QM-103", "QM-106", "QM-108", "QM-119", "QM-124", "QM-131")
	res := s.Result()
	for i := range res.Vouchers {
		v := &res.Vouchers[i]
		c := v.ChosenSample()
		if c == nil {
			continue
		}
		file := c.Contig.Reads[0].File
		switch i % 3 {
		case 0:
			decide(t, s, v.Voucher.Code, seqqc.DecideAside, func(d *seqqc.Decision) { d.File = file })
		case 1:
			decide(t, s, v.Voucher.Code, seqqc.DecideWindow, func(d *seqqc.Decision) { d.File, d.Kept = file, &seqqc.Interval{Start: 80, End: 420} })
		default:
			decide(t, s, v.Voucher.Code, seqqc.DecideOpen, func(d *seqqc.Decision) {
				d.Place = &seqqc.Place{File: file, At: c.Contig.Reads[0].Of.Start + 50}
			})
		}
	}
	sameAsRun(t, s, dir)
}

// sameAsRun requires that the session shows what a run of its folder finds.
func sameAsRun(t *testing.T, s *batch.Session, dir string) {
	t.Helper()
	run, err := batch.Run(t.Context(), batch.Options{Dir: dir, Settings: batch.DefaultSettings()})
	require.NoError(t, err)
	now := s.Result()
	require.Equal(t, run.Problems, now.Problems)
	for i, v := range run.Vouchers {
		require.Equal(t, v.Samples, now.Vouchers[i].Samples, v.Voucher.Code)
		require.Equal(t, v.Reviewed, now.Vouchers[i].Reviewed, v.Voucher.Code)
		require.Equal(t, v.Verdict, now.Vouchers[i].Verdict, v.Voucher.Code)
		require.Equal(t, v.Power, now.Vouchers[i].Power, v.Voucher.Code)
	}
	require.Equal(t, run.Between, now.Between)
	require.Equal(t, run.Power, now.Power)
	require.Equal(t, run.Spreads, now.Spreads)
	for i, r := range run.Reads {
		r.Trace, r.Signal = now.Reads[i].Trace, now.Reads[i].Signal
		require.Equal(t, r, now.Reads[i])
	}
}

// Time for one answer of the page: decision on the disk, contig, search, verdict,
// findings between vouchers. The library must hold what the demo is like.
// FORAYSEQ_BENCH_REFS names another library than the demo's.
func BenchmarkDecide(b *testing.B) {
	dir := partOfDemo(b, "QM-118")
	s, err := batch.Open(b.Context(), batch.Options{Dir: dir, Settings: batch.DefaultSettings(), Refs: os.Getenv("FORAYSEQ_BENCH_REFS")})
	require.NoError(b, err)
	c := openContig(b, s, "QM-118")
	place, _ := at(c, 300, 0, "N")
	codes := []string{"A", "C", "G", "T"}
	b.Run("another-base", func(b *testing.B) {
		// No two contigs are alike, so that each is searched for.
		n := 0
		for b.Loop() {
			to, _ := at(c, 200+n/4%150, 0, "N")
			decide(b, s, "QM-118", seqqc.DecideBase, func(d *seqqc.Decision) { d.Place, d.Code = to, codes[n%4] })
			n++
		}
	})
	b.Run("leave-open", func(b *testing.B) {
		for b.Loop() {
			decide(b, s, "QM-118", seqqc.DecideOpen, func(d *seqqc.Decision) { d.Place = place })
		}
	})
	b.Run("name", func(b *testing.B) {
		for b.Loop() {
			decide(b, s, "QM-118", seqqc.DecideName, func(d *seqqc.Decision) { d.Name = "Russula synprima" })
		}
	})
}

// What is found between vouchers follows a decision about one of them, in the
// other too, and comes back with an undo.
func TestFindingsBetweenVouchersFollow(t *testing.T) {
	const code, other = "QM-120", "QM-129" // one barcode under two genera
	notUnderShort(t)
	s, err := batch.Open(t.Context(), batch.Options{Dir: writeDemo(t), Settings: batch.DefaultSettings()})
	require.NoError(t, err)
	flags := func(code string) []seqqc.Flag {
		v, _, _, err := s.Voucher(code)
		require.NoError(t, err)
		return v.Verdict.Flags
	}
	before := s.Result()
	require.Contains(t, flags(other), seqqc.SharedBarcode)
	of := func(res *seqqc.Result) (n int) {
		for _, b := range res.Between {
			if slices.Contains(b.Vouchers, code) {
				n++
			}
		}
		return n
	}
	require.NotZero(t, of(before))
	_, reads, _, err := s.Voucher(code)
	require.NoError(t, err)
	var made []seqqc.Decision
	for _, r := range reads {
		made = append(made, decide(t, s, code, seqqc.DecideAside, func(d *seqqc.Decision) { d.File = r.File }))
	}
	require.NotContains(t, flags(other), seqqc.SharedBarcode)
	require.Zero(t, of(s.Result()))
	require.NotZero(t, of(before), "what was given out stays as it was")
	for _, d := range made {
		decide(t, s, code, seqqc.DecideUndo, func(u *seqqc.Decision) { u.Undoes = d.ID })
	}
	require.Contains(t, flags(other), seqqc.SharedBarcode)
	require.Equal(t, before.Between, s.Result().Between)
}

// A genus that only a decision names is measured then, as the next run does.
func TestSpreadFollowsADecision(t *testing.T) {
	const code = "QM-109" // a label of Inocybe, the DNA of another genus
	s, dir := openDemo(t, code)
	named := func() (genera []string) {
		for _, spread := range s.Result().Spreads {
			genera = append(genera, spread.Genus)
		}
		return genera
	}
	all := named()
	require.Len(t, all, 2)
	_, reads, _, err := s.Voucher(code)
	require.NoError(t, err)
	var made []seqqc.Decision
	for _, r := range reads {
		made = append(made, decide(t, s, code, seqqc.DecideAside, func(d *seqqc.Decision) { d.File = r.File }))
	}
	require.Empty(t, named())
	s, err = batch.Open(t.Context(), batch.Options{Dir: dir, Settings: batch.DefaultSettings()})
	require.NoError(t, err)
	require.Empty(t, named())
	for _, d := range made {
		decide(t, s, code, seqqc.DecideUndo, func(u *seqqc.Decision) { u.Undoes = d.ID })
	}
	require.Equal(t, all, named())
	sameAsRun(t, s, dir)
}
