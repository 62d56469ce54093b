package main

import (
	"errors"
	"fmt"
	"io"
	"log"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"strings"

	"forayseq/align"
	"forayseq/refs/phylogeny"
)

// bench measures one library after the other.
type bench struct {
	opt     options
	notes   *log.Logger
	self    string
	kernel  string
	noEdlib string // why there is no edlib
	edlib   string // the program that runs it
	kernels []kernel
}

// kernel is a slower form of the kernels than the one this machine uses.
type kernel struct {
	name    string
	program string
	env     []string
}

func newBench(opt options, notes *log.Logger) (*bench, error) {
	b := &bench{opt: opt, notes: notes, kernel: align.Kernel()}
	var err error
	if b.self, err = os.Executable(); err != nil {
		return nil, err
	}
	if opt.wants("edlib") {
		if b.edlib, err = edlibDriver(opt.dir); err != nil {
			b.noEdlib = err.Error()
		}
	}
	if !opt.wants("kernels") {
		return b, nil
	}
	if b.kernel == "avx512-vbmi2" {
		b.kernels = append(b.kernels, kernel{"avx512", b.self, []string{"GODEBUG=cpu.avx512vbmi2=off"}})
	}
	if strings.HasPrefix(b.kernel, "avx512") {
		b.kernels = append(b.kernels, kernel{"avx2", b.self, []string{"GODEBUG=cpu.avx512f=off"}})
	}
	if b.kernel != "go" {
		pure := filepath.Join(opt.dir, "scanbench-purego")
		build := exec.Command("go", "build", "-tags", "purego", "-o", pure, "forayseq/refs/scanbench")
		if text, err := build.CombinedOutput(); err != nil {
			return nil, fmt.Errorf("the build without assembly: %w: %s", err, text)
		}
		b.kernels = append(b.kernels, kernel{"go", pure, nil})
	}
	return b, nil
}

// figures are what was measured on one library.
type figures struct {
	size    int
	queries []phylogeny.Query
	columns []column
	index   *result
	search  *result
	scan    *result
	slower  []slower
	checked int // queries of which the search was held to aligning everything
}

// column has the seconds of queries against the whole library, by query; of
// the first ones only where they are fewer.
type column struct {
	name      string
	seconds   []float64
	estimated bool // from a part
}

// slower has what another kernel took.
type slower struct {
	kernel    string
	plate     float64
	plateTime float64   // of the processors
	scan      []float64 // all distances, seconds by query
}

func (f *figures) column(name string) []float64 {
	for _, c := range f.columns {
		if c.name == name {
			return c.seconds
		}
	}
	return nil
}

// Names of columns.
const (
	byBiogo     = "biogo"
	byEdlib     = "edlib, no bound"
	byEdlibNear = "edlib, right bound"
	byScan      = "distances"
	byScanNear  = "distances, right bound"
	byEvery     = "every aligned"
	bySearch    = "search"
)

// shown is their order in a table.
var shown = []string{byBiogo, byEdlib, byEdlibNear, byScan, byScanNear, byEvery, bySearch}

// material is a library to be made, and how.
type material struct {
	name, dir string
	size      int
	tree      *phylogeny.Tree // of the queries
	write     func(io.Writer) error
}

// measure measures what is wanted in an invented library.
func (b *bench) measure(n int) (*figures, error) {
	tree := phylogeny.New(phylogeny.Shape{Records: n, Seed: b.opt.seed})
	return b.measureLibrary(material{fmt.Sprintf("%d references", n), filepath.Join(b.opt.dir, fmt.Sprint(n)), n, tree, tree.WriteFASTA})
}

func (b *bench) measureLibrary(m material) (f *figures, err error) {
	if err := os.MkdirAll(m.dir, 0o755); err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(m.dir)) }()
	b.notes.Printf("%s", m.name)
	f = &figures{size: m.size}
	if f.queries, err = m.put(b.opt.queries); err != nil {
		return nil, err
	}
	j := job{Dir: m.dir, Repeat: b.opt.repeat, Every: b.opt.every, Pairs: b.opt.pairs}
	if m.size > fewRefs { // aligning everything takes about as long in all libraries then
		j.Every = min(j.Every, max(1, j.Every*fewRefs/m.size))
	}
	for _, step := range []func(job, *figures) error{b.measureBiogo, b.measureDistances, b.measureEdlib, b.measureSearch, b.measureKernels} {
		if err := step(j, f); err != nil {
			return nil, fmt.Errorf("%s: %w", m.name, err)
		}
	}
	return f, nil
}

// fewRefs is the greatest library in which as many queries as are wanted are
// answered by aligning every reference.
const fewRefs = 20_000

// do starts a job by name.
func (b *bench) do(j job, name string) (*result, error) {
	b.notes.Printf("  %s", name)
	j.Name = name
	return j.start(b.self)
}

func (b *bench) measureBiogo(j job, f *figures) error {
	if !b.opt.wants("biogo") {
		return nil
	}
	r, err := b.do(j, "biogo")
	if err != nil {
		return err
	}
	f.columns = append(f.columns, column{byBiogo, scaled(r.Queries, float64(f.size)), true})
	return nil
}

func (b *bench) measureDistances(j job, f *figures) (err error) {
	if !b.opt.wants("distances") && (b.edlib == "" || !b.opt.wants("edlib")) {
		return nil // edlib needs to know the right bounds
	}
	if f.scan, err = b.do(j, "distances"); err != nil {
		return err
	}
	f.columns = append(f.columns, column{byScan, f.scan.Queries, false}, column{byScanNear, f.scan.Bounded, false})
	return nil
}

func (b *bench) measureEdlib(j job, f *figures) error {
	if b.edlib == "" {
		return nil
	}
	for _, part := range []struct {
		name   string
		refs   int
		bounds []int
	}{{byEdlib, b.opt.freeRefs, nil}, {byEdlibNear, b.opt.boundRefs, f.scan.Bounds}} {
		b.notes.Printf("  %s", part.name)
		n := min(part.refs, f.size)
		seconds, tenth, err := edlib(b.edlib, j.Dir, f.queries, part.bounds, n)
		if err != nil {
			return err
		}
		if n == f.size && !reflect.DeepEqual(tenth, f.scan.Bounds) {
			return fmt.Errorf("edits of the tenth best: %v by edlib, %v by package align", tenth, f.scan.Bounds)
		}
		// Records stand in no order, so the first are a sample.
		f.columns = append(f.columns, column{part.name, scaled(seconds, float64(f.size)/float64(n)), n < f.size})
	}
	return nil
}

func (b *bench) measureSearch(j job, f *figures) (err error) {
	if !b.opt.wants("search") && !b.opt.wants("every") && !b.opt.wants("kernels") {
		return nil
	}
	if f.index, err = b.do(j, "index"); err != nil {
		return err
	}
	if f.search, err = b.do(j, "search"); err != nil {
		return err
	}
	if b.opt.wants("every") && b.opt.every > 0 {
		r, err := b.do(j, "every")
		if err != nil {
			return err
		}
		f.columns = append(f.columns, column{byEvery, r.Queries, false})
		for i, want := range r.Aligned {
			if got := f.search.Searched[i]; !reflect.DeepEqual(got, want) {
				return fmt.Errorf("query %d (%v): the search gives\n%+v\nand aligning every reference\n%+v", i, f.queries[i].Kind, got, want)
			}
		}
		f.checked = len(r.Aligned)
	}
	f.columns = append(f.columns, column{bySearch, f.search.Queries, false})
	return nil
}

func (b *bench) measureKernels(j job, f *figures) error {
	for _, k := range b.kernels {
		b.notes.Printf("  kernel %s", k.name)
		j.Repeat = 1
		j.Name = "search"
		r, err := j.start(k.program, k.env...)
		if err != nil {
			return err
		}
		if r.Kernel != k.name {
			return fmt.Errorf("kernel %s works where %s was asked for", r.Kernel, k.name)
		}
		if !reflect.DeepEqual(r.Searched, f.search.Searched) {
			return fmt.Errorf("kernel %s gives other hits", k.name)
		}
		s := slower{kernel: k.name, plate: r.Plate, plateTime: r.PlateTime}
		if b.opt.wants("distances") {
			j.Name, j.Refs = "distances", min(b.opt.freeRefs, f.size)
			part, err := j.start(k.program, k.env...)
			if err != nil {
				return err
			}
			s.scan = scaled(part.Queries, float64(f.scan.Letters)/float64(part.Letters))
		}
		f.slower = append(f.slower, s)
	}
	return nil
}

// scaled multiplies a list.
func scaled(list []float64, by float64) []float64 {
	out := make([]float64, len(list))
	for i, v := range list {
		out[i] = v * by
	}
	return out
}

// memorySizes are the libraries of which the memory is a measure.
var memorySizes = map[int]int64{50_000: 700 << 20, 200_000: 2 << 30}

// memory measures the index and the search of those libraries that were not.
func (b *bench) memory(all map[int]*figures) error {
	if !b.opt.wants("search") {
		return nil
	}
	largest := 0
	for n := range all {
		largest = max(largest, n)
	}
	for n := range memorySizes {
		if all[n] != nil || n > largest {
			continue
		}
		f, err := b.searchOnly(n, b.opt.queries)
		if err != nil {
			return err
		}
		all[n] = f
	}
	return nil
}

// searchOnly measures the index and the search of a library and nothing else.
func (b *bench) searchOnly(n, queries int) (*figures, error) {
	only := *b
	only.opt.only, only.opt.queries = []string{"search"}, queries
	only.edlib, only.kernels = "", nil
	return only.measure(n)
}

// scale measures the search at sizes up to a million.
func (b *bench) scale(out *strings.Builder) error {
	var rows [][]string
	for _, n := range []int{10_000, 20_000, 50_000, 100_000, 200_000, 500_000, 1_000_000} {
		f, err := b.searchOnly(n, min(b.opt.queries, 4))
		if err != nil {
			return err
		}
		row := []string{fmt.Sprint(n), seconds(f.index.Read), seconds(f.index.Build), megabytes(f.index.Bytes),
			seconds(f.search.Open), megabytes(f.index.Peak), megabytes(f.search.Peak)}
		for _, k := range phylogeny.Kinds {
			row = append(row, seconds(median(f.ofKind(f.search.Queries, k))))
		}
		rows = append(rows, row)
	}
	header := []string{"references", "read", "index", "its size", "open", "memory to index", "to search"}
	for _, k := range phylogeny.Kinds {
		header = append(header, k.String())
	}
	fmt.Fprintln(out, "\nThe search from 10,000 to 1,000,000 references, median a query by kind")
	writeTable(out, header, rows)
	return nil
}
