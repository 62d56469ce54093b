package batch

import (
	"context"
	"encoding/json"
	"sync"

	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/match"
)

// matches are those of sequences that were matched before, so that what is
// undone, or changed outside the stretch that is compared, is not searched for
// again. They stay until the batch is closed: a few kilobytes for each decision
// that changed a compared stretch. A nil one keeps none.
type matches struct {
	mu sync.Mutex
	of map[string]*seqqc.Match
}

func newMatches() *matches { return &matches{of: map[string]*seqqc.Match{}} }

// match matches a contig, or gives the match that its compared stretch had under
// the same field name. Library and settings must be the same in all calls.
func (ms *matches) match(ctx context.Context, lib *refs.Library, c *seqqc.Contig, field refs.Name, p match.Params) (*seqqc.Match, error) {
	if ms == nil {
		return match.Match(ctx, lib, c, field, p)
	}
	key, err := matchKey(c, field)
	if err != nil {
		return nil, err
	}
	ms.mu.Lock()
	m := ms.of[key]
	ms.mu.Unlock()
	if m == nil {
		if m, err = match.Match(ctx, lib, c, field, p); err != nil {
			return nil, err
		}
		ms.mu.Lock()
		ms.of[key] = m
		ms.mu.Unlock()
	}
	again := *m
	return &again, nil
}

// matchKey is the same for contigs whose matches are the same: all that a match
// depends on beside library and settings. Of the bases outside the ITS it tells
// those that a difference shows beside itself.
func matchKey(c *seqqc.Contig, field refs.Name) (string, error) {
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
	return string(text), err
}
