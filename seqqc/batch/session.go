package batch

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"time"

	"forayseq/seqqc"
	"forayseq/seqqc/cross"
	"forayseq/seqqc/decisions"
)

// Session is a batch held open while people decide. Library and reads stay in
// memory, and after a decision the voucher it is about is worked on anew. Its
// methods may be called by several goroutines at once.
type Session struct {
	mu sync.Mutex
	r  runner
	// tied are the reads as they were before any work, by file.
	tied map[string]seqqc.Read
	// opt is what it was opened with, and read what the inputs were then.
	opt     Options
	read    map[string]stamp
	changes int
	changed chan struct{} // closed at the next change
}

// Open reads a batch folder and works on it as Run does, and holds it open. No
// trees are made.
func Open(ctx context.Context, opt Options) (*Session, error) {
	s := &Session{r: newRunner(opt), tied: map[string]seqqc.Read{}, opt: opt, changed: make(chan struct{})}
	s.r.matches, s.r.pairs = newMatches(keptMatches), cross.NewPairs()
	s.read = stamps(opt) // before they are read: what changes meanwhile is told
	if err := opt.Settings.Validate(); err != nil {
		return nil, err
	}
	remember := func(context.Context) error {
		for _, read := range s.r.reads {
			s.tied[read.File] = copyOf(*read)
		}
		return nil
	}
	r := &s.r
	for _, step := range []func(context.Context) error{r.readSheet, r.readLibrary, r.readReads, r.tie, remember, r.readDecisions, r.judgeAll, r.explainAll, r.weighTests, r.reviewAll} {
		if err := step(ctx); err != nil {
			return nil, err
		}
	}
	s.r.opt.Progress = nil // it was for the opening
	return s, nil
}

// copyOf gives a read whose work can be done without a change of the other.
func copyOf(r seqqc.Read) seqqc.Read {
	c := r
	c.Flags, c.Notes, c.Primers = slices.Clone(r.Flags), slices.Clone(r.Notes), slices.Clone(r.Primers)
	return c
}

// Result gives the results as they are now. What it points to is not changed
// later, and must not be changed by the caller.
func (s *Session) Result() *seqqc.Result {
	s.mu.Lock()
	defer s.mu.Unlock()
	res := *s.r.res
	res.Vouchers = slices.Clone(res.Vouchers)
	res.Problems = append(slices.Clone(res.Problems), s.r.choices.problems(s.r.vouchers)...)
	res.Reads = nil
	for _, read := range s.r.reads {
		res.Reads = append(res.Reads, *read)
	}
	return &res
}

// Voucher gives one voucher as it is now with its reads, traces and signals
// included, and all the decisions about it. The error is a *decisions.RefusedError
// where the sheet has no such voucher.
func (s *Session) Voucher(code string) (seqqc.VoucherResult, []*seqqc.Read, []seqqc.Decision, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	i := s.indexOf(code)
	if i < 0 {
		return seqqc.VoucherResult{}, nil, nil, refuse("there is no voucher %s", code)
	}
	return s.r.res.Vouchers[i], s.readsOf(code), about(s.r.choices.list, code), nil
}

func (s *Session) indexOf(code string) int {
	return slices.IndexFunc(s.r.vouchers, func(v seqqc.Voucher) bool { return v.Code == code })
}

// readsOf gives the reads that the work on a voucher uses.
func (s *Session) readsOf(code string) []*seqqc.Read {
	var out []*seqqc.Read
	for _, read := range s.r.reads {
		if read.Voucher == code && s.r.copies[read.File] == "" {
			out = append(out, read)
		}
	}
	return out
}

// about gives the decisions about one voucher.
func about(list []seqqc.Decision, code string) []seqqc.Decision {
	var out []seqqc.Decision
	for _, d := range list {
		if d.Voucher == code {
			out = append(out, d)
		}
	}
	return out
}

// Changes counts the times that results changed since the batch was opened;
// next is closed when they change again.
func (s *Session) Changes() (n int, next <-chan struct{}) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.changes, s.changed
}

// Decide appends a decision, with an ID and the time, to the batch's file and
// works on its voucher anew. Around of its Place is filled in. Decisions that
// others made in the meantime are taken up as well, and none is lost. The error
// is a *decisions.RefusedError where it makes no sense; it is then not written.
func (s *Session) Decide(ctx context.Context, d seqqc.Decision) (seqqc.Decision, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := s.catchUp(ctx); err != nil {
		return d, err
	}
	d.ID, d.When = decisions.NewID(), time.Now().UTC().Format(time.RFC3339)
	if err := s.place(&d); err != nil {
		return d, err
	}
	var refused *decisions.RefusedError
	switch err := decisions.Append(s.path(), d); {
	case errors.As(err, &refused):
		return d, err
	case err != nil:
		return d, fmt.Errorf("the decision was not written down; see that the batch's folder can be written to and the disk is not full, and decide again: %w", err)
	}
	// The decision is on the disk: that its voucher is worked on anew must not
	// depend on somebody waiting for it.
	if err := s.catchUp(context.WithoutCancel(ctx)); err != nil {
		return d, fmt.Errorf("the decision is written down, but what follows from it could not be worked out; start the review again: %w", err)
	}
	return d, nil
}

func (s *Session) path() string { return filepath.Join(s.r.opt.Dir, DecisionsName) }

// place holds a decision against what is in the batch.
func (s *Session) place(d *seqqc.Decision) error {
	if s.indexOf(d.Voucher) < 0 {
		return refuse("there is no voucher %s", d.Voucher)
	}
	file := d.File
	if d.Place != nil {
		file = d.Place.File
	}
	reads := s.readsOf(d.Voucher)
	i := slices.IndexFunc(reads, func(r *seqqc.Read) bool { return r.File == file && r.Trace != nil })
	switch {
	case file != "" && i < 0:
		return refuse("voucher %s has no read %s", d.Voucher, file)
	case d.Place != nil:
		if d.Place.At < 0 || d.Place.At >= len(reads[i].Trace.Bases) {
			return refuse("%s has no base %d", file, d.Place.At+1)
		}
		at := seqqc.PlaceIn(reads[i], d.Place.At)
		d.Place = &at
	case d.Kept != nil && (file == "" || d.Kept.End > len(reads[i].Trace.Bases)):
		return refuse("%s has no base %d", file, d.Kept.End)
	case d.What == seqqc.DecideUndo:
		standing, _ := decisions.Standing(about(s.r.choices.list, d.Voucher), DecisionsName)
		undos := slices.ContainsFunc(s.r.choices.list, func(x seqqc.Decision) bool {
			return x.ID == d.Undoes && x.What == seqqc.DecideUndo && x.Voucher == d.Voucher
		})
		if !undos && !slices.ContainsFunc(standing, func(x seqqc.Decision) bool { return x.ID == d.Undoes }) {
			return refuse("voucher %s has no decision %s, or it is undone already", d.Voucher, d.Undoes)
		}
	}
	return nil
}

func refuse(format string, args ...any) error {
	return &decisions.RefusedError{Why: fmt.Sprintf(format, args...)}
}

// Watch takes up decisions that another program appends, until ctx ends.
func (s *Session) Watch(ctx context.Context) error {
	const every = time.Second
	tick := time.NewTicker(every)
	defer tick.Stop()
	var seen int64 = -1
	for {
		select {
		case <-ctx.Done():
			return nil
		case <-tick.C:
		}
		info, err := os.Stat(s.path())
		if err != nil || info.Size() == seen {
			continue // none yet, or none new: the file only grows
		}
		s.mu.Lock()
		err = s.catchUp(ctx)
		s.mu.Unlock()
		if err != nil && ctx.Err() == nil {
			return err
		}
		seen = info.Size()
	}
}

// catchUp reads the decisions again, and works on the vouchers anew whose
// decisions are others than before.
func (s *Session) catchUp(ctx context.Context) error {
	before := s.r.choices
	if err := s.r.readDecisions(ctx); err != nil {
		return err
	}
	same := func(a, b seqqc.Decision) bool { return a.ID == b.ID }
	now := &s.r.choices
	if slices.EqualFunc(now.list, before.list, same) {
		return nil
	}
	var changed []int
	for i, v := range s.r.vouchers {
		if !slices.Equal(now.by[v.Code].workIDs(), before.by[v.Code].workIDs()) {
			changed = append(changed, i)
		}
	}
	if len(changed) > 0 {
		if err := s.rework(ctx, changed); err != nil {
			s.r.choices = before // to be tried again
			return err
		}
	}
	if err := s.r.reviewAll(ctx); err != nil {
		return err
	}
	s.changes++
	close(s.changed)
	s.changed = make(chan struct{})
	return nil
}

// rework works on vouchers from their reads on, compares them with the others,
// and judges all anew: what is found between vouchers may speak of any of them.
// After an error nothing is changed.
func (s *Session) rework(ctx context.Context, changed []int) error {
	r := s.r
	res := *r.res
	res.Vouchers = slices.Clone(res.Vouchers)
	r.res, r.reads = &res, slices.Clone(r.reads)
	isChanged := map[string]bool{}
	for _, i := range changed {
		isChanged[r.vouchers[i].Code] = true
	}
	tied := map[sampleKey][]*seqqc.Read{}
	byFile := map[string]*seqqc.Read{}
	for k, read := range r.reads {
		if isChanged[read.Voucher] && r.copies[read.File] == "" {
			again := copyOf(s.tied[read.File])
			read = &again
			r.reads[k] = read
			key := sampleKey{read.Voucher, read.Sample}
			tied[key] = append(tied[key], read)
		}
		byFile[read.File] = read
	}
	var jobs []sampleJob
	for _, i := range changed {
		jobs = append(jobs, r.jobsOf(r.vouchers[i], &res.Vouchers[i], tied)...)
	}
	err := inParallel(ctx, r.opt.Threads, len(jobs), func(ctx context.Context, k int) error {
		return jobs[k].work(ctx, r.opt.Settings, r.lib)
	}, func(int) {})
	if err != nil {
		return err
	}
	if err := r.compareVouchers(ctx, res.Vouchers, byFile); err != nil {
		return err
	}
	if err := r.recall(ctx, res.Vouchers); err != nil {
		return err
	}
	for i := range res.Vouchers {
		v := &res.Vouchers[i]
		if err := r.judge(v, byFile); err != nil {
			return err
		}
		if err := explain(v, r.opt.Settings, r.lib, byFile, res.Between); err != nil {
			return err
		}
	}
	// A decision may name a genus that nothing named before.
	if err := r.weighTests(ctx); err != nil {
		return err
	}
	for _, i := range changed {
		delete(r.choices.inWork, r.vouchers[i].Code)
	}
	r.hearOf(jobs)
	s.r = r
	return nil
}
