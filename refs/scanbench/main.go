package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"log"
	"os"
	"runtime"
	"slices"
	"strconv"
	"strings"

	"forayseq/refs/phylogeny"
)

// options are the command's flags.
type options struct {
	sizes     []int
	queries   int // of each kind
	seed      uint64
	only      []string
	every     int // queries for which every reference is aligned
	pairs     int // of biogo, for each query
	freeRefs  int // references for edlib without a bound
	boundRefs int // references for edlib with a bound, and for slower kernels
	repeat    int
	scale     bool
	hard      int // references of odd libraries, 0 for none
	dir       string
}

// columns are what options.only may name.
var columns = []string{"biogo", "edlib", "distances", "search", "every", "kernels"}

func main() {
	if len(os.Args) > 1 && os.Args[1] == "job" {
		exit(runJob(os.Args[2:]))
	}
	opt, err := parse(os.Args[1:])
	if err == nil {
		err = run(opt, os.Stdout, log.New(os.Stderr, "scanbench: ", 0))
	}
	if errors.Is(err, flag.ErrHelp) {
		err = nil
	}
	exit(err)
}

func exit(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, "scanbench:", err)
		os.Exit(1)
	}
	os.Exit(0)
}

func parse(args []string) (opt options, err error) {
	f := flag.NewFlagSet("scanbench", flag.ContinueOnError)
	sizes := f.String("sizes", "20000,200000", "numbers of references, joined by commas")
	only := f.String("only", strings.Join(columns, ","), "columns to measure")
	f.IntVar(&opt.queries, "queries", 12, "queries of each kind")
	f.Uint64Var(&opt.seed, "seed", 1, "seed of the libraries and queries")
	f.IntVar(&opt.every, "every", len(phylogeny.Kinds), "queries to answer by aligning every reference, and to hold the search to")
	f.IntVar(&opt.pairs, "pairs", 4, "references that biogo aligns with each query")
	f.IntVar(&opt.freeRefs, "edlib-free", 2000, "references for edlib without a bound")
	f.IntVar(&opt.boundRefs, "edlib-bound", 20000, "references for edlib with the right bound, and for other kernels than the fastest")
	f.IntVar(&opt.repeat, "repeat", 3, "searches of a query, of which the median counts")
	f.BoolVar(&opt.scale, "scale", false, "measure the search from 10,000 to 1,000,000 references as well")
	f.IntVar(&opt.hard, "odd", 0, "measure the search in odd libraries of so many references as well")
	f.StringVar(&opt.dir, "dir", "", "where to put libraries (gigabytes at a million references); a temporary folder by default")
	if err := f.Parse(args); err != nil {
		return opt, err
	}
	for word := range strings.SplitSeq(*sizes, ",") {
		n, err := strconv.Atoi(strings.TrimSpace(word))
		if err != nil || n < 1 {
			return opt, fmt.Errorf("-sizes: %q is no number of references", word)
		}
		opt.sizes = append(opt.sizes, n)
	}
	for word := range strings.SplitSeq(*only, ",") {
		if !slices.Contains(columns, word) {
			return opt, fmt.Errorf("-only: no column %q; there are %s", word, strings.Join(columns, ", "))
		}
		opt.only = append(opt.only, word)
	}
	if opt.queries < 1 || opt.repeat < 1 || opt.pairs < 1 || opt.freeRefs < 1 || opt.boundRefs < 1 || opt.every < 0 || opt.hard < 0 {
		return opt, errors.New("numbers of queries, references and repeats must be positive")
	}
	return opt, nil
}

func (opt options) wants(column string) bool { return slices.Contains(opt.only, column) }

// run measures, and writes tables to out and what it is doing to notes.
func run(opt options, out io.Writer, notes *log.Logger) (err error) {
	if opt.dir == "" {
		if opt.dir, err = os.MkdirTemp("", "scanbench-"); err != nil {
			return err
		}
		defer func() { err = errors.Join(err, os.RemoveAll(opt.dir)) }()
	}
	b, err := newBench(opt, notes)
	if err != nil {
		return err
	}
	// Text is written as soon as a library is done.
	var text strings.Builder
	flush := func() error {
		defer text.Reset()
		_, err := io.WriteString(out, text.String())
		return err
	}
	fmt.Fprintf(&text, "%s, %d processors, %s, kernel %s\n", processor(), runtime.NumCPU(), runtime.Version(), b.kernel)
	if b.noEdlib != "" {
		fmt.Fprintln(&text, "edlib:", b.noEdlib)
	}
	all := make(map[int]*figures)
	for _, n := range opt.sizes {
		if all[n], err = b.measure(n); err != nil {
			return err
		}
		all[n].write(&text)
		if err := flush(); err != nil {
			return err
		}
	}
	if err := b.memory(all); err != nil {
		return err
	}
	writeMeasures(&text, all, b.kernel)
	if err := flush(); err != nil {
		return err
	}
	if opt.hard > 0 {
		if err := errors.Join(b.hard(&text, opt.hard), flush()); err != nil {
			return err
		}
	}
	if opt.scale {
		return errors.Join(b.scale(&text), flush())
	}
	return nil
}

// processor gives its name as Linux tells it.
func processor() string {
	text, err := os.ReadFile("/proc/cpuinfo")
	if err == nil {
		for line := range strings.Lines(string(text)) {
			if name, ok := strings.CutPrefix(line, "model name"); ok {
				return strings.TrimSpace(strings.TrimLeft(name, "\t :"))
			}
		}
	}
	return runtime.GOARCH
}
