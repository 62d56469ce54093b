package cmd

import (
	"context"
	"errors"
	"fmt"
	"html"
	"io"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"runtime"

	"github.com/spf13/cobra"

	"forayseq/seqqc/batch"
	"forayseq/seqqc/decisions"
	"forayseq/seqqc/report"
	"forayseq/seqqc/review"
)

// reviewOptions are the flags of review that are not those of a run.
type reviewOptions struct {
	port      int
	noBrowser bool
	list      bool
	who       string
}

func newReview() *cobra.Command {
	var opt batch.Options
	var own reviewOptions
	c := &cobra.Command{
		Use:   "review BATCH",
		Short: "Look at a batch on a page of this computer, and decide",
		Long: `review opens a page on which a second pair of eyes looks at the vouchers of a
batch: every doubt with the peaks behind it, the most consequential first. An
answer, another kept stretch, a read set aside, the verdict accepted or
overruled, a final name, submit or hold: each is appended to decisions.jsonl in
BATCH with who decided it and when, can be undone, and is applied again by every
'forayseq run BATCH'. Several people may have the page open at once.

The page is for this computer only: it can be opened with the address that is
printed, which is new with every start, and nothing is sent elsewhere. Ctrl-C
ends it. With --list the decisions are printed, and no page is opened.

` + cautions(),
		Example: `  forayseq demo demo-batch
  forayseq review demo-batch --list`,
		Args: argsUsage(cobra.ExactArgs(1)),
	}
	opt.Settings = batch.DefaultSettings()
	f := c.Flags()
	f.StringVar(&opt.Refs, "refs", "", "reference FASTA, plain or .gz (default refs.fasta in BATCH)")
	f.StringVar(&opt.Taxonomy, "taxonomy", "", "lineages (default taxonomy.tsv in BATCH, where there is one)")
	f.IntVar(&own.port, "port", 0, "port to listen on (default any that is free)")
	f.BoolVar(&own.noBrowser, "no-browser", false, "print the address and open no browser")
	f.BoolVar(&own.list, "list", false, "print the decisions and end")
	f.StringVar(&own.who, "who", "", "who decides, as proposed on the page (default the name of your account)")
	threadsFlag(f, &opt.Threads)
	settingFlags(f, &opt.Settings, "trim", "contig", "match", "verdict")
	c.RunE = func(c *cobra.Command, args []string) error {
		opt.Dir = args[0]
		if own.list {
			return listDecisions(c.OutOrStdout(), opt.Dir)
		}
		if own.port < 0 || own.port > 65535 {
			return &usageError{fmt.Errorf("--port: %d is no port", own.port), "ports are 1 to 65535; 0 takes any that is free"}
		}
		if err := settingsFile(&opt.Settings, opt.Dir, f); err != nil {
			return err
		}
		bar := newProgress(c.ErrOrStderr())
		opt.Progress = bar.show
		s, err := batch.Open(c.Context(), opt)
		bar.clear()
		if err != nil {
			return err
		}
		return serveReview(c.Context(), c.OutOrStdout(), s, opt.Dir, own)
	}
	return c
}

// serveReview serves the page until ctx ends, which is how it is meant to end.
func serveReview(ctx context.Context, w io.Writer, s *batch.Session, dir string, own reviewOptions) error {
	l, err := review.Listen(own.port)
	if err != nil {
		return &batch.HintError{Err: err, Hint: "choose another --port, or none for any that is free"}
	}
	if own.who == "" {
		if u, err := user.Current(); err == nil {
			own.who = u.Username
		}
	}
	token := review.NewToken()
	address := review.Address(l, token)
	if _, err := fmt.Fprintf(w, "review of %s at\n\n    %s\n\nThe address is for this computer only. Ctrl-C ends the review.\n", dir, address); err != nil {
		return errors.Join(err, l.Close())
	}
	if !own.noBrowser {
		// Where no browser opens there is the address.
		if way, err := wayTo(dir, address); err == nil {
			defer func() { _ = os.Remove(way) }()
			_ = openBrowser(ctx, way)
		}
	}
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	watched := make(chan error, 1)
	go func() {
		err := s.Watch(ctx)
		cancel() // decisions that cannot be read end the review
		watched <- err
	}()
	err = review.Serve(ctx, l, review.Batch{
		Name: filepath.Base(filepath.Clean(dir)), Result: s.Result, Voucher: s.Voucher, Decide: s.Decide, Changes: s.Changes, Outdated: s.Outdated,
	}, review.Options{Token: token, Who: own.who})
	cancel()
	if err = errors.Join(err, <-watched); err != nil {
		return err
	}
	_, err = fmt.Fprintf(w, "\nthe decisions are in %s; 'forayseq run %s' applies them\n", filepath.Join(dir, batch.DecisionsName), dir)
	return err
}

// wayTo writes a file that leads to an address and that nobody else can read.
// Given to a browser on its command line, the address itself could be read by
// other users of the computer, and its token with it. The file is in the batch's
// folder and not among temporary ones, which some browsers cannot see.
func wayTo(dir, address string) (path string, err error) {
	f, err := os.CreateTemp(dir, "open-review-*.html") // for its owner only
	if err != nil {
		return "", err
	}
	defer func() {
		if err = errors.Join(err, f.Close()); err != nil {
			_ = os.Remove(f.Name())
		}
	}()
	address = html.EscapeString(address)
	if _, err := fmt.Fprintf(f, "<!doctype html>\n<html lang=\"en\"><meta charset=\"utf-8\"><title>Review</title>\n"+
		"<meta name=\"referrer\" content=\"no-referrer\"><meta http-equiv=\"refresh\" content=\"0; url=%s\">\n"+
		"<p><a href=\"%s\">Go to the review</a></p>\n", address, address); err != nil {
		return "", err
	}
	return filepath.Abs(f.Name())
}

// openBrowser asks the system to open a file or an address.
func openBrowser(ctx context.Context, address string) error {
	name, args := "xdg-open", []string{address}
	switch runtime.GOOS {
	case "darwin":
		name = "open"
	case "windows":
		name, args = "rundll32", []string{"url.dll,FileProtocolHandler", address}
	}
	c := exec.CommandContext(context.WithoutCancel(ctx), name, args...)
	if err := c.Start(); err != nil {
		return err
	}
	go func() { _ = c.Wait() }() // it is the system's from here on
	return nil
}

// listDecisions prints the decisions of a batch folder and whether they stand.
func listDecisions(w io.Writer, dir string) error {
	list, problems, err := batch.Decisions(dir)
	if err != nil {
		return err
	}
	standing, more := decisions.Standing(list, batch.DecisionsName)
	stands := map[string]bool{}
	for _, d := range standing {
		stands[d.ID] = true
	}
	t := report.Table{Columns: []string{"voucher", "decision", "stands", "who", "when", "why", "id"}}
	for _, d := range list {
		state := "no"
		if stands[d.ID] {
			state = "yes"
		}
		t.Rows = append(t.Rows, []string{d.Voucher, decisions.Words(d), state, d.Who, d.When, d.Why, d.ID})
	}
	if err := report.WriteTSV(w, t); err != nil {
		return err
	}
	for _, p := range append(problems, more...) {
		if _, err := fmt.Fprintln(w, report.SafeText(fmt.Sprintf("# %s: %s", p.File, p.What))); err != nil {
			return err
		}
	}
	return nil
}
