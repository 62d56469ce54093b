package main

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"

	"forayseq/align"
	"forayseq/refs"
	"forayseq/refs/phylogeny"
)

// job is what one process measures.
type job struct {
	Name   string
	Dir    string // holds the library and the queries
	Refs   int    // how many references are looked at, 0 for all
	Repeat int
	Every  int
	Pairs  int
}

// result is what it found. Times are in seconds of the processor, so that what
// else the machine does matters little, but for Read, Build and Plate, which are
// by the clock. Those of queries are by query.
type result struct {
	Kernel    string
	Read      float64 // the library from its FASTA
	Build     float64 // the index made and written
	Open      float64 // the index opened
	First     float64 // the first query after that
	Bytes     int64   // of the index
	Unique    int     // different sequences in it
	Queries   []float64
	Bounded   []float64 // with the right bound
	Plate     float64   // all queries on two threads
	PlateTime float64
	Bounds    []int    // edits of the tenth best
	Cells     float64  // of all tables that Queries stands for
	Letters   int      // of the references looked at
	Peak      int64    // bytes resident at most
	Searched  []answer // by query
	Aligned   []answer // by query, of some
}

// answer is what a search gives: records with their figures, best first.
type answer []hit

type hit struct {
	Record             int
	Identity, Coverage float64
	Score              int
	Complemented       bool
}

const (
	libraryFile = "library.fasta"
	queryFile   = "queries.json"
)

// start runs a job in a process of its own, with program and additions to its
// environment.
func (j job) start(program string, env ...string) (*result, error) {
	cmd := exec.Command(program, "job", "-name", j.Name, "-dir", j.Dir, "-refs", strconv.Itoa(j.Refs),
		"-repeat", strconv.Itoa(j.Repeat), "-every", strconv.Itoa(j.Every), "-pairs", strconv.Itoa(j.Pairs))
	cmd.Env = append(os.Environ(), env...)
	cmd.Stderr = os.Stderr
	text, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", j.Name, err)
	}
	r := &result{}
	return r, json.Unmarshal(text, r)
}

// runJob is the other end of start.
func runJob(args []string) error {
	var j job
	f := flag.NewFlagSet("job", flag.ContinueOnError)
	f.StringVar(&j.Name, "name", "", "")
	f.StringVar(&j.Dir, "dir", "", "")
	f.IntVar(&j.Refs, "refs", 0, "")
	f.IntVar(&j.Repeat, "repeat", 1, "")
	f.IntVar(&j.Every, "every", 0, "")
	f.IntVar(&j.Pairs, "pairs", 1, "")
	if err := f.Parse(args); err != nil {
		return err
	}
	work := map[string]func(job, []phylogeny.Query, *result) error{
		"index": makeIndex, "search": search, "every": every, "distances": distances, "biogo": fitted,
	}[j.Name]
	if work == nil {
		return fmt.Errorf("no job %q", j.Name)
	}
	queries, err := readQueries(j.Dir)
	if err != nil {
		return err
	}
	runtime.GOMAXPROCS(1)
	r := &result{Kernel: align.Kernel()}
	if err := work(j, queries, r); err != nil {
		return err
	}
	if r.Peak, err = peak(); err != nil {
		return err
	}
	return json.NewEncoder(os.Stdout).Encode(r)
}

// peak gives the most memory this process had resident, as Linux tells it; 0
// elsewhere.
func peak() (int64, error) {
	text, err := os.ReadFile("/proc/self/status")
	if errors.Is(err, os.ErrNotExist) {
		return 0, nil
	}
	for line := range strings.Lines(string(text)) {
		if kb, ok := strings.CutPrefix(line, "VmHWM:"); ok {
			n, err := strconv.ParseInt(strings.TrimSuffix(strings.TrimSpace(kb), " kB"), 10, 64)
			return n << 10, err
		}
	}
	return 0, err
}

// put writes the library and its queries, so many of each kind.
func (m material) put(each int) ([]phylogeny.Query, error) {
	var queries []phylogeny.Query
	for n := range each { // kinds side by side, so that a plate is mixed
		for _, k := range phylogeny.Kinds {
			queries = append(queries, m.tree.Query(k, n))
		}
	}
	text, err := json.Marshal(queries)
	if err == nil {
		err = os.WriteFile(filepath.Join(m.dir, queryFile), text, 0o644)
	}
	if err != nil {
		return nil, err
	}
	f, err := os.Create(filepath.Join(m.dir, libraryFile))
	if err != nil {
		return nil, err
	}
	return queries, errors.Join(m.write(f), f.Close())
}

func readQueries(dir string) (queries []phylogeny.Query, err error) {
	text, err := os.ReadFile(filepath.Join(dir, queryFile))
	if err != nil {
		return nil, err
	}
	return queries, json.Unmarshal(text, &queries)
}

func readLibrary(dir string) (lib *refs.Library, err error) {
	f, err := os.Open(filepath.Join(dir, libraryFile))
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	return refs.Read(f, refs.ReadOptions{})
}
