package main

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"

	"forayseq/seqqc"
	"forayseq/seqqc/batch"
	"forayseq/seqqc/trace"
)

// chromatogram is one read as the laboratory hands it over.
type chromatogram struct {
	primer string
	trace  *seqqc.Trace
}

// sample is the reads of one voucher, and what is true of them.
type sample struct {
	reads []chromatogram
	truth truth
}

// question asks the outcome of one sample: of cases that could be right, right
// were.
type question struct {
	name string
	ask  func(truth, outcome) (right, cases int)
}

// outcome is what the run made of one sample; reads are in the order of the
// sample's.
type outcome struct {
	seqqc.SampleResult
	verdict seqqc.Verdict
	reads   []*seqqc.Read
}

// phenomenon is one row or some rows of the table.
type phenomenon struct {
	phenomenon, level, noise string
	number                   int
	// make makes the i-th sample.
	make      func(rng *rand.Rand, i int) (sample, error)
	questions []question
}

// measure makes the samples of a phenomenon, runs them as a batch and gives a
// line for each question.
func measure(ctx context.Context, w world, c phenomenon, seed uint64) ([]string, error) {
	dir, err := os.MkdirTemp("", "benchmark")
	if err != nil {
		return nil, err
	}
	defer func() { _ = os.RemoveAll(dir) }() // what is left of a temporary folder harms nobody
	rng := rand.New(rand.NewPCG(seed, 2))
	samples := make([]sample, c.number)
	for i := range samples {
		if samples[i], err = c.make(rng, i); err != nil {
			return nil, err
		}
	}
	if err := writeBatch(dir, w, samples); err != nil {
		return nil, err
	}
	res, err := batch.Run(ctx, batch.Options{Dir: dir, Settings: batch.DefaultSettings()})
	if err != nil {
		return nil, err
	}
	outcomes, err := collect(res, samples)
	if err != nil {
		return nil, err
	}
	var lines []string
	for _, q := range c.questions {
		right, cases := 0, 0
		for i, o := range outcomes {
			r, n := q.ask(samples[i].truth, o)
			right, cases = right+r, cases+n
		}
		lines = append(lines, line(c, q.name, right, cases))
	}
	return lines, nil
}

func fileName(i, k int, primer string) string {
	return fmt.Sprintf("S%04d_%s_%d.ab1", i+1, primer, k+1)
}

func writeBatch(dir string, w world, samples []sample) error {
	reads := filepath.Join(dir, batch.ReadsName)
	if err := os.Mkdir(reads, 0o755); err != nil {
		return err
	}
	sheet := bytes.NewBufferString("voucher,field_id\n")
	table := bytes.NewBufferString("file,voucher,primer\n")
	for i, s := range samples {
		fmt.Fprintf(sheet, "S%04d,Fungi\n", i+1)
		for k, r := range s.reads {
			name := fileName(i, k, r.primer)
			fmt.Fprintf(table, "%s,S%04d,%s\n", name, i+1, r.primer)
			var file bytes.Buffer
			if err := trace.EncodeABIF(&file, r.trace); err != nil {
				return err
			}
			if err := os.WriteFile(filepath.Join(reads, name), file.Bytes(), 0o644); err != nil {
				return err
			}
		}
	}
	for name, text := range map[string][]byte{"vouchers.csv": sheet.Bytes(), "reads.csv": table.Bytes(), "refs.fasta": w.library} {
		if err := os.WriteFile(filepath.Join(dir, name), text, 0o644); err != nil {
			return err
		}
	}
	return nil
}

// collect brings the result's reads to their samples.
func collect(res *seqqc.Result, samples []sample) ([]outcome, error) {
	byFile := map[string]*seqqc.Read{}
	for i := range res.Reads {
		byFile[res.Reads[i].File] = &res.Reads[i]
	}
	if len(res.Vouchers) != len(samples) {
		return nil, fmt.Errorf("%d samples came back as %d vouchers", len(samples), len(res.Vouchers))
	}
	out := make([]outcome, len(samples))
	for i, v := range res.Vouchers {
		out[i] = outcome{SampleResult: v.Samples[0], verdict: v.Verdict}
		for k, c := range samples[i].reads {
			r := byFile[batch.ReadsName+"/"+fileName(i, k, c.primer)]
			if r == nil || r.Voucher != v.Voucher.Code {
				return nil, fmt.Errorf("read %d of sample %d did not come to its voucher", k+1, i+1)
			}
			out[i].reads = append(out[i].reads, r)
		}
	}
	return out, nil
}
