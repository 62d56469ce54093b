package batch

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime/debug"
	"slices"

	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/cross"
	"forayseq/seqqc/match"
	"forayseq/seqqc/sheet"
	"forayseq/seqqc/trace"
	"forayseq/seqqc/verdict"
)

// Options say what to run. The zero value of every field but Dir and Settings
// is the default.
type Options struct {
	// Dir is the batch folder.
	Dir string
	// Refs, Taxonomy and Names name files outside the batch folder.
	Refs, Taxonomy, Names string
	Settings              Settings
	// Threads is the number of samples worked on at once; zero is one a
	// processor.
	Threads int
	// Progress hears of every step, one call at a time; nil for nobody.
	Progress func(Progress)
	// Earlier gives the barcodes of earlier batches of one species with a
	// contig, nearest first; nil where there is no ledger. It is asked by
	// several at once.
	Earlier func(ctx context.Context, c *seqqc.Contig) ([]seqqc.Earlier, error)
}

// Progress is how far a run has come.
type Progress struct {
	Doing    string
	Done, Of int // Of is zero where the end is not known
	// Share is the part of the input file read, 0 to 1; zero where its size is
	// not known.
	Share float64
	Name  string // of what was done last, may be empty
}

// Run gives every voucher of a batch folder its verdict. It reads only; an
// error means that no result is possible, and is a *HintError where a person
// can mend it. When ctx ends, so does Run, with its error.
func Run(ctx context.Context, opt Options) (*seqqc.Result, error) {
	r := newRunner(opt)
	if err := opt.Settings.Validate(); err != nil {
		return nil, err
	}
	for _, step := range []func(context.Context) error{r.readSheet, r.readLibrary, r.readReads, r.tie, r.readDecisions, r.judgeAll, r.explainAll, r.reviewAll, r.relate, r.weighTests} {
		if err := step(ctx); err != nil {
			return nil, err
		}
	}
	for _, read := range r.reads {
		r.res.Reads = append(r.res.Reads, *read)
	}
	r.problems(r.choices.problems(r.vouchers)...)
	return r.res, nil
}

func newRunner(opt Options) runner {
	return runner{opt: opt, choices: newChoices(), offers: map[string]match.Offer{}, res: &seqqc.Result{
		SchemaVersion: seqqc.SchemaVersion,
		Program:       Program(),
		Settings:      opt.Settings.used(),
		Cautions:      seqqc.Cautions,
	}}
}

// runner carries a run from step to step.
type runner struct {
	opt       Options
	res       *seqqc.Result
	sheetName string
	vouchers  []seqqc.Voucher
	lib       *refs.Library
	reads     []*seqqc.Read
	copies    map[string]string // the file of a second copy -> that of the first
	disputed  map[string]bool   // files whose copies are filed under two vouchers
	choices   choices
	// between is, by voucher, what comparing the vouchers says of each.
	between map[string][]seqqc.Finding
	offers  map[string]match.Offer // of taxa on labels, as they were asked for
	// matches, and what pairs of barcodes came to, are kept where a batch is held
	// open.
	matches *matches
	pairs   *cross.Pairs
}

// Program names the program with the version it was built from.
func Program() string {
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" {
		return "forayseq " + info.Main.Version
	}
	return "forayseq"
}

func (r *runner) tell(p Progress) {
	if r.opt.Progress != nil {
		r.opt.Progress(p)
	}
}

func (r *runner) problems(list ...seqqc.Problem) {
	r.res.Problems = append(r.res.Problems, list...)
}

func (r *runner) readSheet(context.Context) error {
	path, err := findSheet(r.opt.Dir)
	if err != nil {
		return err
	}
	r.sheetName = filepath.Base(path)
	var s *sheet.Sheet
	err = withFile(path, func(f io.Reader) (err error) {
		s, err = sheet.Read(f, r.sheetName, sheet.Options{Columns: r.opt.Settings.Columns})
		return err
	})
	if err != nil {
		return sheetError(err)
	}
	r.problems(s.Problems...)
	r.vouchers = s.Vouchers
	return nil
}

func (r *runner) readLibrary(context.Context) error {
	path, err := findRefs(r.opt.Dir, r.opt.Refs)
	if err != nil {
		return err
	}
	lib, info, problems, err := OpenLibrary(path, findOptional(r.opt.Dir, TaxonomyName, r.opt.Taxonomy))
	if err != nil {
		return err
	}
	r.lib, r.res.Library = lib, info
	r.problems(problems...)
	return r.understandNames()
}

// readReads reads every input of the reads folder. What could not be read
// stands in the list of reads too, as a row that says why.
func (r *runner) readReads(ctx context.Context) (err error) {
	dir := filepath.Join(r.opt.Dir, ReadsName)
	if info, err := os.Stat(dir); errors.Is(err, fs.ErrNotExist) || err == nil && !info.IsDir() {
		return hint("make it and put the chromatograms, or the laboratory's zip, into it", "%s holds no folder %s", r.opt.Dir, ReadsName)
	} else if err != nil {
		return err
	}
	var problems []seqqc.Problem
	r.copies, r.disputed = map[string]string{}, map[string]bool{}
	items := trace.Folder(os.DirFS(r.opt.Dir), ReadsName, trace.Limits{})
	r.reads, problems, err = collect(ctx, noting(items, r.copies), r.tell)
	r.problems(problems...)
	if err == nil && len(r.reads) == 0 {
		r.problems(seqqc.Problem{File: ReadsName, Unread: true, What: "no read is in this folder",
			Hint: "put the chromatograms, or the laboratory's zip, into it, and run again"})
	}
	return err
}

// judgeAll works on the samples of all vouchers, several at once, and then
// gives each voucher its verdict. Results stand in sheet order whatever order
// the work was done in.
func (r *runner) judgeAll(ctx context.Context) error {
	tied := map[sampleKey][]*seqqc.Read{}
	byFile := map[string]*seqqc.Read{}
	for _, read := range r.reads {
		byFile[read.File] = read
		if r.copies[read.File] != "" {
			continue // told of as the read that it repeats
		}
		if read.Voucher != "" {
			k := sampleKey{read.Voucher, read.Sample}
			tied[k] = append(tied[k], read)
			continue
		}
		// Untied reads get their figures too: whoever looks for the read of a
		// voucher wants to know which of them is any good.
		if read.Trace != nil {
			if err := measureAndTrim(read, r.opt.Settings); err != nil {
				return err
			}
		}
	}
	results := make([]seqqc.VoucherResult, len(r.vouchers))
	var jobs []sampleJob
	for i, v := range r.vouchers {
		jobs = append(jobs, r.jobsOf(v, &results[i], tied)...)
	}
	err := inParallel(ctx, r.opt.Threads, len(jobs), func(ctx context.Context, i int) error {
		return jobs[i].work(ctx, r.opt.Settings, r.lib)
	}, func(done int) { r.tell(Progress{Doing: "matching samples", Done: done, Of: len(jobs)}) })
	if err != nil {
		return err
	}
	r.hearOf(jobs)
	if err := r.compareVouchers(ctx, results, byFile); err != nil {
		return err
	}
	if err := r.recall(ctx, results); err != nil {
		return err
	}
	for i := range results {
		if err := r.judge(&results[i], byFile); err != nil {
			return err
		}
	}
	r.res.Vouchers = results
	return nil
}

// sampleKey names a sample.
type sampleKey struct{ voucher, sample string }

// jobsOf gives the work on the samples of a voucher, whose results are put into
// result.
func (r *runner) jobsOf(v seqqc.Voucher, result *seqqc.VoucherResult, tied map[sampleKey][]*seqqc.Read) []sampleJob {
	*result = seqqc.VoucherResult{Voucher: v, Samples: make([]seqqc.SampleResult, len(v.Samples)), Chosen: -1}
	var jobs []sampleJob
	var reads []*seqqc.Read
	d := r.choices.by[v.Code]
	for i, s := range v.Samples {
		result.Samples[i].Sample = s
		some := tied[sampleKey{v.Code, s.ID}]
		jobs = append(jobs, sampleJob{result: &result.Samples[i], voucher: v.Code, field: v.Field, reads: some, decided: d, matches: r.matches})
		reads = append(reads, some...)
	}
	if len(jobs) > 0 {
		jobs[0].problems = d.ofReads(reads)
	}
	return jobs
}

// hearOf keeps what jobs had to say about decisions.
func (r *runner) hearOf(jobs []sampleJob) {
	for _, j := range jobs {
		r.choices.inWork[j.voucher] = append(r.choices.inWork[j.voucher], j.problems...)
	}
}

// sampleJob is one sample to be put together and matched.
type sampleJob struct {
	result  *seqqc.SampleResult
	voucher string
	field   refs.Name
	reads   []*seqqc.Read
	decided *decided
	matches *matches
	// problems are those of decisions that do not apply any more.
	problems []seqqc.Problem
}

func (j *sampleJob) work(ctx context.Context, s Settings, lib *refs.Library) error {
	var usable []*seqqc.Read
	namePartners(j.result.Sample, j.reads)
	for _, r := range j.reads {
		j.result.ReadFiles = append(j.result.ReadFiles, r.File)
		if r.Trace == nil {
			continue
		}
		j.problems = append(j.problems, j.decided.window(r)...)
		if err := measureAndTrim(r, s); err != nil {
			return err
		}
	}
	j.reads = j.decided.used(j.reads)
	for _, r := range j.reads {
		if r.Usable {
			usable = append(usable, r)
		}
	}
	var c *seqqc.Contig
	var err error
	if len(usable) > 0 {
		if c, err = barcode(usable, s.Contig); err != nil {
			return err
		}
	}
	if c, err = j.readCopies(ctx, c, s, lib); err != nil {
		return err
	}
	j.problems = append(j.problems, j.decided.edit(c, j.reads)...)
	if c == nil {
		return nil
	}
	j.result.Contig = c
	j.result.Match, err = j.matches.match(ctx, lib, c, j.field, s.Match)
	return err
}

// namePartners tells each read which primer ends its amplicon: the sheet's, or
// else that of the reads from the other end, where they agree on one.
func namePartners(s seqqc.Sample, reads []*seqqc.Read) {
	partner := map[seqqc.Direction]string{seqqc.Forward: s.PrimerReverse, seqqc.Reverse: s.PrimerForward}
	for from := range partner {
		if partner[from] != "" {
			continue
		}
		var names []string
		for _, r := range reads {
			if r.Direction == -from && r.Primer != "" && !slices.Contains(names, r.Primer) {
				names = append(names, r.Primer)
			}
		}
		if len(names) == 1 {
			partner[from] = names[0]
		}
	}
	for _, r := range reads {
		r.Partner = partner[r.Direction]
	}
}

// judge gives a voucher its verdict from what its samples came to and what was
// found between vouchers.
func (r *runner) judge(v *seqqc.VoucherResult, byFile map[string]*seqqc.Read) error {
	c, err := caseOf(v, r.opt.Settings, r.lib, byFile)
	if err != nil {
		return err
	}
	v.Chosen = c.Chosen
	v.Verdict = verdict.Decide(slices.Concat(verdict.Apply(c, r.opt.Settings.Verdict), r.between[v.Voucher.Code]))
	return nil
}

// caseOf puts together what the rules look at.
func caseOf(v *seqqc.VoucherResult, s Settings, lib *refs.Library, byFile map[string]*seqqc.Read) (verdict.Case, error) {
	c, err := verdict.NewCase(lib, v.Voucher, v.Samples, s.Verdict)
	if err != nil {
		return c, err
	}
	for _, sample := range v.Samples {
		for _, file := range sample.ReadFiles {
			r := byFile[file]
			c.Reads = append(c.Reads, r)
			why := r.Why
			if r.Trace == nil {
				why = r.File + ": " + r.Why
			} else if len(r.Trace.Bases) > 0 {
				c.ReadsOpened++
				c.LongestKept = max(c.LongestKept, r.Kept.Len())
			}
			if !r.Usable && !slices.Contains(c.Unused, why) {
				c.Unused = append(c.Unused, why)
			}
		}
	}
	if c.Chosen >= 0 {
		var flags [][]seqqc.Flag
		for _, p := range v.Samples[c.Chosen].Contig.Reads {
			if r := byFile[p.File]; r != nil {
				flags = append(flags, r.Flags)
			}
		}
		c.ReadFlags = seqqc.MergeFlags(flags...)
	}
	return c, nil
}
