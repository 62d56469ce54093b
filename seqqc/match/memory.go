package match

import (
	"cmp"
	"context"
	"crypto/sha256"
	"fmt"
	"slices"
	"strings"
	"sync"

	"forayseq/refs"
)

// Memory answers the searches of a library from those of another one, mostly an
// older release, of which most records are in both. Each answer is that of
// searching the library itself.
//
// That is seen so. Let a search of the other library have listed A, and let it be
// known how far down A holds everything asked for (refs.Answer). What the library
// has of that is in A, or among the records that the other one lacks: new ones,
// and those with another name or sequence now. These are searched down to where
// A ends, and the list is cut from both as refs.Scan.BestFrom cuts it. It is all
// there where it ends no lower than A did, which more records never make it do;
// records that are gone may, and then the library is searched. What was asked for
// is part of the key: which genus, without which doubtful labels; of the records
// in both it takes the same, for their names are in their keys.
type Memory struct {
	lib     *refs.Library
	keys    []uint64
	records map[uint64]int // key -> its record
	known   map[refs.SearchKey]refs.Answer

	fresh *refs.Library // the records that the other library lacks, nil for none
	at    []int         // record of fresh -> its record of lib

	mu    sync.Mutex
	noted map[refs.SearchKey]refs.Answer
}

// mostFresh is the share of records from which searching them apart no longer
// saves time.
const mostFresh = 0.3

// NewMemory makes the memory of a library. other are the keys of the records of
// the library that known were found in; without, it only notes what is found.
func NewMemory(lib *refs.Library, other []uint64, known map[refs.SearchKey]refs.Answer) *Memory {
	m := &Memory{lib: lib, keys: lib.Keys(), known: known, noted: map[refs.SearchKey]refs.Answer{}}
	m.records = make(map[uint64]int, len(m.keys))
	for i, key := range m.keys {
		m.records[key] = i
	}
	had := make(map[uint64]bool, len(other))
	for _, key := range other {
		had[key] = true
	}
	var fresh []refs.Record
	for i, key := range m.keys {
		if !had[key] {
			m.at = append(m.at, i)
		}
	}
	if float64(len(m.at)) > mostFresh*float64(len(m.keys)) {
		m.known, m.at = nil, nil
	}
	for _, i := range m.at {
		r := lib.Record(i)
		// Names do not matter to the search: what is kept is asked of lib.
		fresh = append(fresh, refs.Record{ID: r.ID, Seq: r.Seq, Line: r.Line})
	}
	if len(fresh) > 0 {
		m.fresh = refs.NewLibrary(fresh, nil)
	}
	return m
}

// Keys gives the keys of the library's records.
func (m *Memory) Keys() []uint64 { return m.keys }

// Take gives the answers found since the last time.
func (m *Memory) Take() map[refs.SearchKey]refs.Answer {
	m.mu.Lock()
	defer m.mu.Unlock()
	out := m.noted
	m.noted = map[refs.SearchKey]refs.Answer{}
	return out
}

// asked is one search: refs.Scan.BestFrom with what says in words which records
// keep keeps, the same words for the same records.
type asked struct {
	what   string
	floor  float64
	n      int
	window func(best float64) float64
	keep   func(record int) bool
}

func (a asked) lowerEnd(best float64) float64 { return refs.LowerEnd(best, a.window) }

// cut gives what BestFrom gives of a list in order that holds all it needs.
func (a asked) cut(list []refs.Found) []refs.Found { return refs.Cut(list, a.floor, a.n, a.window) }

// level gives the identity below which nothing mattered to an answer.
func (a asked) level(found []refs.Found) float64 {
	switch {
	case len(found) == 0:
		return max(-1, min(a.floor, a.lowerEnd(max(-1, a.floor))))
	case len(found) < a.n:
		return max(-1, min(a.floor, a.lowerEnd(found[0].IdentityPct)))
	}
	return max(-1, min(max(a.floor, found[a.n-1].IdentityPct), a.lowerEnd(found[0].IdentityPct)))
}

// answer says how far found holds all that was asked for.
func (a asked) answer(found []refs.Found) refs.Answer {
	out := refs.Answer{Level: a.level(found), End: min(noWindow, a.lowerEnd(max(-1, a.floor))), Identity: -1}
	if len(found) > 0 {
		out.End = min(noWindow, a.lowerEnd(found[0].IdentityPct))
	}
	if len(found) >= a.n && found[a.n-1].IdentityPct >= a.floor {
		last := found[a.n-1]
		out.Identity, out.Coverage, out.Score = last.IdentityPct, last.CoveragePct, float64(last.Alignment.Score)
	}
	return out
}

// noWindow stands for the lower end of no window.
const noWindow = 101

// holds reports whether what is known holds all of found, cut from it and from
// all that is new.
func (a asked) holds(known refs.Answer, found []refs.Found) bool {
	now := a.answer(found)
	if len(found) == 0 && len(known.Records) > 0 {
		return false
	}
	rank := cmp.Or(cmp.Compare(now.Identity, known.Identity), cmp.Compare(now.Coverage, known.Coverage), cmp.Compare(now.Score, known.Score))
	return now.End >= known.End && (known.Identity < 0 || rank >= 0)
}

// recall is the memory at work for one query.
type recall struct {
	*Memory
	ctx    context.Context
	scan   *refs.Scan
	query  refs.Query
	params Params
	fresh  *refs.Scan // nil until it is asked for
}

func (r *recall) key(a asked) refs.SearchKey {
	sum := sha256.Sum256(fmt.Appendf(nil, "%s %v %v %v %v %v %v %v %d %t %q", r.query.Seq, r.query.Exclude, r.query.Whole, r.params.Gate,
		r.params.Thresholds, r.params.WindowMin, r.params.WindowShare, a.floor, a.n, a.window != nil, a.what))
	return refs.SearchKey(sum[:16])
}

// search answers from the memory, or with full.
func (r *recall) search(a asked, full func() ([]refs.Found, error)) ([]refs.Found, error) {
	key := r.key(a)
	known, ok := r.known[key]
	var found []refs.Found
	var err error
	if ok {
		found, ok, err = r.merged(a, known)
	}
	if err == nil && !ok {
		found, err = full()
	}
	if err != nil {
		return nil, err
	}
	answer := a.answer(found)
	for _, f := range found {
		answer.Records = append(answer.Records, r.keys[f.Record])
	}
	r.mu.Lock()
	r.noted[key] = answer
	r.mu.Unlock()
	return found, nil
}

// merged gives the answer of the library from one of the other library; false
// where that does not reach far enough.
func (r *recall) merged(a asked, known refs.Answer) ([]refs.Found, bool, error) {
	var still []int
	for _, key := range known.Records {
		if record, ok := r.records[key]; ok {
			still = append(still, record)
		}
	}
	var list []refs.Found
	var err error
	if len(still) > 0 {
		if list, err = r.scan.BestOf(still, len(still)); err != nil {
			return nil, false, err
		}
	}
	if r.Memory.fresh != nil {
		if r.fresh == nil {
			if r.fresh, err = refs.NewScan(r.ctx, r.Memory.fresh, r.query, r.params.Gate); err != nil {
				return nil, false, err
			}
		}
		more, err := r.fresh.BestFrom(known.Level, r.Memory.fresh.Len(), nil, func(i int) bool { return a.keep == nil || a.keep(r.at[i]) })
		if err != nil {
			return nil, false, err
		}
		for _, f := range more {
			f.Record = r.at[f.Record]
			list = append(list, f)
		}
	}
	slices.SortFunc(list, func(x, y refs.Found) int { return cmp.Or(refs.CompareRank(&x, &y), cmp.Compare(x.Record, y.Record)) })
	found := a.cut(list)
	return found, a.holds(known, found), nil
}

// without words which records are left out, for asked.what.
func (r *recall) without(out []int) string {
	keys := make([]string, len(out))
	for i, record := range out {
		keys[i] = fmt.Sprintf("%x", r.keys[record])
	}
	slices.Sort(keys)
	return " without " + strings.Join(keys, " ")
}
