package decisions

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
)

// note gives a decision that says one thing.
func note(id, voucher, why string) seqqc.Decision {
	return seqqc.Decision{ID: id, When: "2026-10-03T18:04:05Z", Who: "second pair of eyes", Voucher: voucher, What: seqqc.DecideNote, Why: why}
}

func of(what seqqc.DecisionKind, set func(*seqqc.Decision)) seqqc.Decision {
	d := note(NewID(), "FC-1", "")
	d.What = what
	set(&d)
	return d
}

// place is one of a read that is not there.
func place() *seqqc.Place { return &seqqc.Place{File: "reads/FC-1.ab1", At: 7, Around: "ACGTACGTACG"} }

// everyKind gives one decision of each kind.
func everyKind() []seqqc.Decision {
	return []seqqc.Decision{
		of(seqqc.DecideBase, func(d *seqqc.Decision) { d.Place, d.Code = place(), "R" }),
		of(seqqc.DecideOpen, func(d *seqqc.Decision) { d.Place = place() }),
		of(seqqc.DecideWindow, func(d *seqqc.Decision) { d.File, d.Kept = "reads/FC-1.ab1", &seqqc.Interval{Start: 20, End: 600} }),
		of(seqqc.DecideAside, func(d *seqqc.Decision) { d.File = "reads/FC-1.ab1" }),
		of(seqqc.DecideVerdict, func(d *seqqc.Decision) {
			d.Found, d.Verdict, d.Why = seqqc.Conflict, seqqc.Agrees, "the label was misread"
		}),
		of(seqqc.DecideName, func(d *seqqc.Decision) { d.Name = "<b>Russula</b> \u2028 'sp.'" }),
		of(seqqc.DecideSubmission, func(d *seqqc.Decision) { d.Submission = seqqc.Hold }),
		note(NewID(), "FC-1", "line one\nline two"),
		of(seqqc.DecideUndo, func(d *seqqc.Decision) { d.Undoes = "0011223344556677" }),
	}
}

func write(t testing.TB, list ...seqqc.Decision) (path string, content []byte) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "decisions.jsonl")
	for _, d := range list {
		require.NoError(t, Append(path, d))
	}
	content, err := os.ReadFile(path)
	require.NoError(t, err)
	return path, content
}

func TestWhatIsAppendedIsRead(t *testing.T) {
	want := everyKind()
	path, content := write(t, want...)
	got, problems, err := ReadFile(path)
	require.NoError(t, err)
	require.Empty(t, problems)
	require.Equal(t, want, got)
	require.Equal(t, len(want), bytes.Count(content, []byte{'\n'}), "one line each")

	got, problems, err = ReadFile(filepath.Join(t.TempDir(), "missing.jsonl"))
	require.NoError(t, err)
	require.Empty(t, got)
	require.Empty(t, problems)
}

// A computer that stops while it writes leaves any beginning of a line behind.
// The earlier lines stand, the last one only where it is whole, and what comes
// later is not drawn into it.
func TestFileCutAtEveryByte(t *testing.T) {
	list := everyKind()
	path, whole := write(t, list...)
	later := note(NewID(), "FC-2", "later")
	for cut := range len(whole) + 1 {
		require.NoError(t, os.WriteFile(path, whole[:cut], 0o644))
		lines := bytes.Count(whole[:cut], []byte{'\n'})
		rest := cut - (bytes.LastIndexByte(whole[:cut], '\n') + 1)
		complete := cut < len(whole) && whole[cut] == '\n' && rest > 0
		want := list[:lines]
		if complete { // only the line break is missing
			want = list[:lines+1]
		}
		got, problems, err := ReadFile(path)
		require.NoError(t, err, cut)
		require.Equal(t, append([]seqqc.Decision{}, want...), append([]seqqc.Decision{}, got...), "cut at byte %d", cut)
		if rest > 0 && !complete {
			require.Len(t, problems, 1, cut)
			require.Equal(t, lines+1, problems[0].Line)
			require.Contains(t, problems[0].What, "cut short")
		} else {
			require.Empty(t, problems, cut)
		}

		require.NoError(t, Append(path, later))
		after, err := os.ReadFile(path)
		require.NoError(t, err)
		require.True(t, bytes.HasPrefix(after, whole[:cut]), "what was there was changed, cut at byte %d", cut)
		got, again, err := ReadFile(path)
		require.NoError(t, err)
		require.Equal(t, append(append([]seqqc.Decision{}, want...), later), got, "cut at byte %d", cut)
		require.Len(t, again, len(problems), "the lost line is still told of")
	}
}

func TestLinesOfSeveralWritersStayWhole(t *testing.T) {
	path := filepath.Join(t.TempDir(), "decisions.jsonl")
	const writers, each = 8, 20
	var group sync.WaitGroup
	for w := range writers {
		group.Go(func() {
			for i := range each {
				d := note(NewID(), fmt.Sprint("FC-", w), strings.Repeat("long ", 500)+fmt.Sprint(i))
				if err := Append(path, d); err != nil {
					t.Error(err)
				}
			}
		})
	}
	group.Wait()
	list, problems, err := ReadFile(path)
	require.NoError(t, err)
	require.Empty(t, problems)
	require.Len(t, list, writers*each)
	next := map[string]int{}
	for _, d := range list { // each writer's own are in its order
		require.True(t, strings.HasSuffix(d.Why, fmt.Sprint(" ", next[d.Voucher])), d.Why[len(d.Why)-5:])
		next[d.Voucher]++
	}
}

// A run lies between two appends of a program that holds no file open, so the
// lock must be of the file and not of the program: a second program waits.
func TestAppendWaitsForTheLock(t *testing.T) {
	path, _ := write(t, note("a", "FC-1", "first"))
	held, err := os.OpenFile(path, os.O_RDWR|os.O_APPEND, 0o644)
	require.NoError(t, err)
	require.NoError(t, lock(held))
	done := make(chan error, 1)
	go func() { done <- Append(path, note("b", "FC-1", "second")) }()
	_, err = held.WriteString(`{"id":"c"`) // half a line, under the lock
	require.NoError(t, err)
	select {
	case err := <-done:
		t.Fatalf("appended beside a writer that holds the lock: %v", err)
	default:
	}
	require.NoError(t, held.Close())
	require.NoError(t, <-done)
	list, problems, err := ReadFile(path)
	require.NoError(t, err)
	require.Len(t, list, 2)
	require.Equal(t, "b", list[1].ID)
	require.Len(t, problems, 1)
}

func TestLinesThatAreNoDecisions(t *testing.T) {
	_, good := write(t, note("good", "FC-1", "words"))
	for name, c := range map[string]struct {
		line, says string
		kept       int
	}{
		"no JSON":          {"Russula\n", "no JSON object of ours", 0},
		"an array":         {"[1,2]\n", "no JSON object of ours", 0},
		"no voucher":       {`{"id":"x","when":"2026-10-03T18:04:05Z","who":"me","what":"note","why":"w"}` + "\n", "voucher is missing", 0},
		"no time":          {`{"id":"x","when":"yesterday","who":"me","voucher":"FC-1","what":"note","why":"w"}` + "\n", "yesterday", 0},
		"its id was there": {string(good), "was there before", 0},
		"too long":         {strings.Repeat("x", maxLine+10) + "\n", "longer than", 0},
		"of a later version": {`{"id":"x","when":"2026-10-03T18:04:05Z","who":"me","voucher":"FC-1","what":"photograph","frame":3}` + "\n",
			"does not know", 1},
	} {
		list, problems, err := Read(strings.NewReader(string(good)+c.line+"\n\n"), "decisions.jsonl")
		require.NoError(t, err, name)
		require.Len(t, list, 1+c.kept, name)
		require.Len(t, problems, 1, name)
		require.Equal(t, 2, problems[0].Line, name)
		require.Contains(t, problems[0].What, c.says, name)
		require.NotEmpty(t, problems[0].Hint, name)
		require.False(t, problems[0].Unread, "what a person decided is no input that could not be read")
	}
}

func TestCheckRefuses(t *testing.T) {
	for says, spoil := range map[string]func(*seqqc.Decision){
		"nucleotide code": func(d *seqqc.Decision) { d.What, d.Place, d.Code = seqqc.DecideBase, place(), "X" },
		"place":           func(d *seqqc.Decision) { d.What, d.Code = seqqc.DecideBase, "A" },
		"kept window": func(d *seqqc.Decision) {
			d.What, d.File, d.Kept = seqqc.DecideWindow, "f", &seqqc.Interval{Start: 5, End: 5}
		},
		"file is missing": func(d *seqqc.Decision) { d.What = seqqc.DecideAside },
		"no verdict":      func(d *seqqc.Decision) { d.What, d.Found, d.Verdict = seqqc.DecideVerdict, seqqc.Agrees, "fine" },
		"with a reason": func(d *seqqc.Decision) {
			d.What, d.Found, d.Verdict, d.Why = seqqc.DecideVerdict, seqqc.Agrees, seqqc.Conflict, " "
		},
		"name is missing":     func(d *seqqc.Decision) { d.What = seqqc.DecideName },
		"neither":             func(d *seqqc.Decision) { d.What, d.Submission = seqqc.DecideSubmission, "maybe" },
		"a note without":      func(d *seqqc.Decision) { d.Why = "" },
		"undoes is missing":   func(d *seqqc.Decision) { d.What = seqqc.DecideUndo },
		"who is missing":      func(d *seqqc.Decision) { d.Who = "  " },
		"why is longer":       func(d *seqqc.Decision) { d.Why = strings.Repeat("w", MaxWhy+1) },
		"why is no UTF-8":     func(d *seqqc.Decision) { d.Why = "\xff" },
		"kind of decision":    func(d *seqqc.Decision) { d.What = "photograph" },
		"is no time such as ": func(d *seqqc.Decision) { d.When = "03/04/2026" },
	} {
		d := note("id", "FC-1", "why")
		spoil(&d)
		require.ErrorContains(t, Check(d), says)
		path := filepath.Join(t.TempDir(), "decisions.jsonl")
		require.Error(t, Append(path, d))
		require.NoFileExists(t, path, "what is refused leaves nothing behind")
	}
	for _, code := range []string{"a", "AA", "U", "", "*", "é"} {
		d := of(seqqc.DecideBase, func(d *seqqc.Decision) { d.Place, d.Code = place(), code })
		require.Error(t, Check(d), code)
	}
	// IUPAC-IUB 1984 recommendations (Cornish-Bowden 1985, Nucleic Acids
	// Research 13: 3021-3030, Table 1): the 15 codes of DNA.
	for _, code := range "ACGTRYMKSWBDHVN-" {
		d := of(seqqc.DecideBase, func(d *seqqc.Decision) { d.Place, d.Code = place(), string(code) })
		require.NoError(t, Check(d))
	}
}

func TestStanding(t *testing.T) {
	undo := func(id, of string) seqqc.Decision {
		d := note(id, "FC-1", "")
		d.What, d.Undoes = seqqc.DecideUndo, of
		return d
	}
	a, b := note("a", "FC-1", "a"), note("b", "FC-1", "b")
	foreign := note("f", "FC-2", "f")
	for name, c := range map[string]struct {
		list  []seqqc.Decision
		stand string
		told  int
	}{
		"nothing":                   {nil, "", 0},
		"no undo":                   {[]seqqc.Decision{a, b}, "ab", 0},
		"one undone":                {[]seqqc.Decision{a, b, undo("u", "a")}, "b", 0},
		"an undo undone":            {[]seqqc.Decision{a, undo("u", "a"), undo("v", "u")}, "a", 0},
		"and that undone":           {[]seqqc.Decision{a, undo("u", "a"), undo("v", "u"), undo("w", "v")}, "", 0},
		"undone twice":              {[]seqqc.Decision{a, undo("u", "a"), undo("v", "a")}, "", 0},
		"undone twice, one undone":  {[]seqqc.Decision{a, undo("u", "a"), undo("v", "a"), undo("w", "v")}, "", 0},
		"undone before it is there": {[]seqqc.Decision{undo("u", "a"), a}, "a", 1},
		"undone by itself":          {[]seqqc.Decision{undo("u", "u"), a}, "a", 1},
		"of another voucher":        {[]seqqc.Decision{foreign, undo("u", "f")}, "f", 1},
	} {
		got, problems := Standing(c.list, "decisions.jsonl")
		ids := ""
		for _, d := range got {
			ids += d.ID
		}
		require.Equal(t, c.stand, ids, name)
		require.Len(t, problems, c.told, name)
	}
}

// Whatever bytes a file holds, reading gives decisions that Check passes, and
// appending one more loses none of them.
func FuzzRead(f *testing.F) {
	_, whole := write(f, everyKind()...)
	f.Add(whole)
	f.Add(whole[:len(whole)-20])
	f.Add([]byte("{}\n\x00\n[]\n{\"id\":1}"))
	f.Fuzz(func(t *testing.T, content []byte) {
		before, _, err := Read(bytes.NewReader(content), "decisions.jsonl")
		require.NoError(t, err)
		for _, d := range before {
			if err := Check(d); err != nil {
				require.ErrorIs(t, err, ErrUnknownKind)
			}
		}
		added := note(NewID(), "FC-1", "added")
		line, err := lineOf(added, len(content) > 0 && content[len(content)-1] != '\n')
		require.NoError(t, err)
		after, _, err := Read(bytes.NewReader(append(content, line...)), "decisions.jsonl")
		require.NoError(t, err)
		require.Equal(t, append(before, added), after)
		Standing(after, "decisions.jsonl")
	})
}

func ExampleStanding() {
	list := []seqqc.Decision{
		{ID: "1", Voucher: "FC-1", What: seqqc.DecideName, Name: "Russula emetica"},
		{ID: "2", Voucher: "FC-1", What: seqqc.DecideName, Name: "Russula nobilis"},
		{ID: "3", Voucher: "FC-1", What: seqqc.DecideUndo, Undoes: "2"},
	}
	standing, _ := Standing(list, "decisions.jsonl")
	fmt.Println(len(standing), standing[0].Name)
	// Output: 1 Russula emetica
}

func ExampleAppend() {
	dir, err := os.MkdirTemp("", "decisions")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer func() { _ = os.RemoveAll(dir) }()
	path := filepath.Join(dir, "decisions.jsonl")
	err = Append(path, seqqc.Decision{ID: NewID(), When: "2026-10-03T18:04:05Z", Who: "second pair of eyes",
		Voucher: "FC-1", What: seqqc.DecideSubmission, Submission: seqqc.Hold})
	if err != nil {
		fmt.Println(err)
		return
	}
	list, problems, err := ReadFile(path)
	fmt.Println(len(list), list[0].Submission, len(problems), err)
	// Output: 1 hold 0 <nil>
}
