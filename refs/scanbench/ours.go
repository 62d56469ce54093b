package main

import (
	"cmp"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"forayseq/align"
	"forayseq/refs"
	"forayseq/refs/phylogeny"
)

// listed is how many records a search gives.
const listed = 10

// gate is that of the program's own defaults.
var gate = refs.Gate{MinCoveragePct: 80, MinOutside: 150}

// makeIndex reads the library and writes its index.
func makeIndex(j job, _ []phylogeny.Query, r *result) error {
	start := time.Now()
	lib, err := readLibrary(j.Dir)
	if err != nil {
		return err
	}
	r.Read = time.Since(start).Seconds()
	path := filepath.Join(j.Dir, libraryFile)
	origin, err := originOf(path)
	if err != nil {
		return err
	}
	runtime.GOMAXPROCS(runtime.NumCPU())
	start = time.Now()
	r.Bytes, err = refs.WriteIndex(refs.IndexPath(path), lib, origin)
	r.Build, r.Unique = time.Since(start).Seconds(), lib.Unique()
	return err
}

func originOf(path string) (refs.Origin, error) {
	info, err := os.Stat(path)
	if err != nil {
		return refs.Origin{}, err
	}
	return refs.Origin{Size: info.Size(), ModTime: info.ModTime()}, nil
}

// openIndex opens what makeIndex wrote.
func openIndex(dir string) (*refs.Library, error) {
	path := filepath.Join(dir, libraryFile)
	origin, err := originOf(path)
	if err != nil {
		return nil, err
	}
	return refs.OpenIndex(refs.IndexPath(path), origin, func() (string, error) {
		return "", fmt.Errorf("%s has changed", path)
	})
}

// scanQuery is a query as a stage of the program would put it.
func scanQuery(q phylogeny.Query) refs.Query {
	out := refs.Query{Seq: q.Seq, Exclude: q.R58S}
	for _, spacer := range []align.Interval{q.ITS1, q.ITS2} {
		if !spacer.Empty() {
			out.Whole = append(out.Whole, spacer)
		}
	}
	return out
}

// best searches for one query.
func best(lib *refs.Library, q refs.Query) (answer, error) {
	scan, err := refs.NewScan(context.Background(), lib, q, gate)
	if err != nil {
		return nil, err
	}
	found, err := scan.Best(listed, nil, nil)
	if err != nil {
		return nil, err
	}
	hits := make(answer, len(found))
	for i, f := range found {
		hits[i] = hit{f.Record, f.IdentityPct, f.CoveragePct, f.Alignment.Score, f.Complemented}
	}
	return hits, nil
}

// search answers the queries through the index: one by one on one thread, then
// all on two.
func search(j job, queries []phylogeny.Query, r *result) error {
	start := processorTime()
	lib, err := openIndex(j.Dir)
	if err != nil {
		return err
	}
	r.Open = processorTime() - start
	for i, q := range queries {
		var times []float64
		var hits answer
		for range j.Repeat {
			start := processorTime()
			if hits, err = best(lib, scanQuery(q)); err != nil {
				return fmt.Errorf("query %d: %w", i, err)
			}
			times = append(times, processorTime()-start)
		}
		if i == 0 {
			r.First = times[0]
		}
		r.Queries = append(r.Queries, median(times))
		r.Searched = append(r.Searched, hits)
	}
	clock, used := time.Now(), processorTime()
	err = plate(lib, queries)
	r.Plate, r.PlateTime = time.Since(clock).Seconds(), processorTime()-used
	return err
}

// plate answers all queries on two threads.
func plate(lib *refs.Library, queries []phylogeny.Query) error {
	const threads = 2
	before := runtime.GOMAXPROCS(threads)
	defer runtime.GOMAXPROCS(before)
	var next atomic.Int64
	var errs [threads]error
	var group sync.WaitGroup
	for t := range threads {
		group.Go(func() {
			for errs[t] == nil {
				i := int(next.Add(1)) - 1
				if i >= len(queries) {
					return
				}
				_, errs[t] = best(lib, scanQuery(queries[i]))
			}
		})
	}
	group.Wait()
	return cmp.Or(errs[0], errs[1])
}

// every answers some queries by aligning every record.
func every(j job, queries []phylogeny.Query, r *result) error {
	lib, err := openIndex(j.Dir)
	if err != nil {
		return err
	}
	for i, q := range queries[:min(j.Every, len(queries))] {
		all := scanQuery(q)
		all.Every = true
		start := processorTime()
		hits, err := best(lib, all)
		if err != nil {
			return fmt.Errorf("query %d: %w", i, err)
		}
		r.Queries = append(r.Queries, processorTime()-start)
		r.Aligned = append(r.Aligned, hits)
	}
	return nil
}

// distances works out for every reference the least edits of the whole query
// anywhere in it, on both strands: without a bound, and with the right one.
func distances(j job, queries []phylogeny.Query, r *result) error {
	lib, err := readLibrary(j.Dir)
	if err != nil {
		return err
	}
	var texts []align.Packed
	for i := range lib.Len() {
		if j.Refs == 0 || i < j.Refs {
			texts = append(texts, align.Pack(lib.Record(i).Seq))
			r.Letters += len(lib.Record(i).Seq)
		}
	}
	slices.SortStableFunc(texts, func(a, b align.Packed) int { return cmp.Compare(a.Len(), b.Len()) })
	for _, q := range queries {
		lanes, err := align.NewPatternLanes(q.Seq)
		if err != nil {
			return err
		}
		start := processorTime()
		tenth := scanAll(lanes, texts, len(q.Seq), len(q.Seq))
		r.Queries = append(r.Queries, processorTime()-start)
		start = processorTime()
		if again := scanAll(lanes, texts, len(q.Seq), tenth); again != tenth {
			return fmt.Errorf("%d edits with a bound and %d without", again, tenth)
		}
		r.Bounded = append(r.Bounded, processorTime()-start)
		r.Bounds = append(r.Bounds, tenth)
		r.Cells += 2 * float64(len(q.Seq)) * float64(r.Letters)
	}
	return nil
}

// scanAll gives the edits of the tenth best text, of those within the bound,
// for a query of m letters.
func scanAll(lanes *align.PatternLanes, texts []align.Packed, m, bound int) int {
	var least []int
	batch := make([]align.LaneText, 0, align.TextLanes)
	for some := range slices.Chunk(texts, align.TextLanes) {
		var edits [align.TextLanes]int
		for _, reading := range []align.Reading{align.Forward, align.OtherStrand} {
			batch = batch[:0]
			for _, t := range some {
				batch = append(batch, align.LaneText{Text: t, Reading: reading, Reach: align.Reach{QEnd: m, TStart: t.Len()}})
			}
			lanes.Find(batch, bound)
			for lane := range some {
				if e := lanes.Whole(lane); reading == align.Forward || e < edits[lane] {
					edits[lane] = e
				}
			}
		}
		for _, e := range edits[:len(some)] {
			if at, _ := slices.BinarySearch(least, e); e <= bound && at < listed {
				least = slices.Insert(least, at, e)
				least = least[:min(len(least), listed)]
			}
		}
	}
	if len(least) < listed {
		return bound
	}
	return least[listed-1]
}

func median(list []float64) float64 {
	if len(list) == 0 {
		return 0
	}
	sorted := slices.Sorted(slices.Values(list))
	return (sorted[(len(sorted)-1)/2] + sorted[len(sorted)/2]) / 2
}
