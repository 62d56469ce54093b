package batch

import (
	"container/list"
	"context"
	"crypto/sha256"
	"encoding/json"
	"sync"

	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/match"
)

// keptMatches bounds the matches that are kept. Those in use are part of the
// results anyway; each of the others takes some ten kilobytes. A plate of 96 has
// about 150 in use, so that many decisions can be undone before one is searched
// for again.
const keptMatches = 2000

// matches are those of sequences that were matched before, so that what is
// undone, or changed outside the stretch that is compared, is not searched for
// again. Of more than most the one not used for longest goes. A nil one keeps
// none.
type matches struct {
	mu   sync.Mutex
	most int
	of   map[matchKey]*list.Element // of used
	used *list.List                 // of *keptMatch, the last used first
}

type keptMatch struct {
	key   matchKey
	match *seqqc.Match
}

func newMatches(most int) *matches {
	return &matches{most: most, of: map[matchKey]*list.Element{}, used: list.New()}
}

// match matches a contig, or gives the match that its compared stretch had under
// the same field name. Library and settings must be the same in all calls.
func (ms *matches) match(ctx context.Context, lib *refs.Library, c *seqqc.Contig, field refs.Name, p match.Params) (*seqqc.Match, error) {
	if ms == nil {
		return match.Match(ctx, lib, c, field, p)
	}
	key, err := keyOf(c, field)
	if err != nil {
		return nil, err
	}
	m := ms.get(key)
	if m == nil {
		if m, err = match.Match(ctx, lib, c, field, p); err != nil {
			return nil, err
		}
		ms.put(key, m)
	}
	again := *m
	return &again, nil
}

func (ms *matches) get(key matchKey) *seqqc.Match {
	ms.mu.Lock()
	defer ms.mu.Unlock()
	e := ms.of[key]
	if e == nil {
		return nil
	}
	ms.used.MoveToFront(e)
	return e.Value.(*keptMatch).match
}

func (ms *matches) put(key matchKey, m *seqqc.Match) {
	ms.mu.Lock()
	defer ms.mu.Unlock()
	if ms.of[key] != nil {
		return // two asked for it at once
	}
	ms.of[key] = ms.used.PushFront(&keptMatch{key, m})
	if ms.used.Len() > ms.most {
		delete(ms.of, ms.used.Remove(ms.used.Back()).(*keptMatch).key)
	}
}

// matchKey is the same for contigs whose matches are the same.
type matchKey [sha256.Size]byte

// keyOf makes the key from all that a match depends on beside library and
// settings. Of the bases outside the ITS it takes those that a difference shows
// beside itself.
func keyOf(c *seqqc.Contig, field refs.Name) (matchKey, error) {
	span := c.Region.ITS(len(c.Bases))
	from, to := max(0, span.Start-seqqc.DifferenceReach), min(len(c.Bases), span.End+seqqc.DifferenceReach)
	key := struct {
		Field        refs.Name
		Region       seqqc.Region
		Gap          seqqc.Interval
		Reads        []seqqc.ReadPlacement
		Length       int
		Bases, Quals []byte
	}{field, c.Region, c.Gap, c.Reads, len(c.Bases), c.Bases[from:to], nil}
	if len(c.Quals) > 0 {
		key.Quals = c.Quals[from:to]
	}
	text, err := json.Marshal(key)
	return sha256.Sum256(text), err
}
