package cmd

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"forayseq/seqqc"
	"forayseq/seqqc/batch"
	"forayseq/seqqc/ledger"
	"forayseq/seqqc/letters"
	"forayseq/seqqc/outfile"
)

// lettersName is the folder of the letters in a batch.
const lettersName = "letters"

func newLetters() *cobra.Command {
	var out, templates, write, memory string
	c := &cobra.Command{
		Use:   "letters BATCH",
		Short: "Write each collector what became of their finds",
		Long: `letters writes one page for each collector of a batch into BATCH/letters (or --out
DIR), as text and as HTML: what they found, what the DNA said, what is still open.

All words stand in two templates. --write-templates DIR puts them into a folder,
to be translated or changed; --templates DIR uses what is there.

` + cautions(),
		Example: `  forayseq demo demo-batch
  forayseq run demo-batch
  forayseq letters demo-batch`,
		Args: argsUsage(cobra.ExactArgs(1)),
	}
	c.Flags().StringVar(&out, "out", "", "folder to write (default letters in BATCH)")
	c.Flags().StringVar(&templates, "templates", "", "folder with letter.txt and letter.html")
	c.Flags().StringVar(&write, "write-templates", "", "write the English templates into this folder as well")
	c.Flags().StringVar(&memory, "ledger", "", "ledger that holds the batch under its folder's name, for the club's codes")
	c.RunE = func(c *cobra.Command, args []string) error {
		if out == "" {
			out = filepath.Join(args[0], lettersName)
		}
		if err := batch.RefuseOverlap(args[0], out); err != nil {
			return err
		}
		res, err := readResults(args[0])
		if err != nil {
			return err
		}
		if write != "" {
			if err := writeTemplates(write); err != nil {
				return err
			}
		}
		words := letters.Builtin()
		if templates != "" {
			words = os.DirFS(templates)
			if _, err := os.Stat(templates); err != nil {
				return &batch.HintError{Err: err, Hint: "--write-templates makes such a folder"}
			}
		}
		tmpl, err := letters.Parse(words)
		if err != nil {
			return &batch.HintError{Err: err, Hint: templateHint}
		}
		codes, err := codesOf(c, memory, args[0])
		if err != nil {
			return err
		}
		all := letters.New(res, codes)
		var files []outfile.File
		for i, name := range letters.FileNames(all) {
			files = append(files,
				outfile.File{Name: name + ".txt", Write: func(w io.Writer) error { return tmpl.WriteText(w, all[i]) }},
				outfile.File{Name: name + ".html", Write: func(w io.Writer) error { return tmpl.WriteHTML(w, all[i]) }})
		}
		err = outfile.WriteAll(out, files)
		var bad *letters.TemplateError
		if errors.As(err, &bad) {
			return &batch.HintError{Err: bad, Hint: templateHint}
		}
		if err != nil {
			return writeError(out, err)
		}
		p := printer{w: c.OutOrStdout()}
		for i, l := range all {
			p.line("%s  %s, %d still open", files[2*i].Name, seqqc.Count(len(l.Finds), "find"), l.Open)
			if len(l.Spellings) > 0 {
				p.line("  taken for one collector: %s", quoted(l.Spellings))
			}
		}
		p.line("%s in %s", seqqc.Count(len(all), "letter"), out)
		return p.err
	}
	return c
}

const templateHint = "mend the template at that line and column, or take the English one from --write-templates"

// writeTemplates writes the English templates where there are none yet.
func writeTemplates(dir string) error {
	var files []outfile.File
	for _, name := range []string{letters.TextTemplate, letters.HTMLTemplate} {
		if _, err := os.Lstat(filepath.Join(dir, name)); err == nil {
			return &batch.HintError{Err: fmt.Errorf("%s is there already", filepath.Join(dir, name)), Hint: "name an empty folder"}
		}
		raw, err := fs.ReadFile(letters.Builtin(), name)
		if err != nil {
			return err
		}
		files = append(files, outfile.File{Name: name, Write: func(w io.Writer) error {
			_, err := w.Write(raw)
			return err
		}})
	}
	return writeError(dir, outfile.WriteAll(dir, files))
}

// codesOf gives the club codes of a batch's vouchers; nil where no ledger was
// named.
func codesOf(c *cobra.Command, path, dir string) (map[string]string, error) {
	if path == "" {
		return nil, nil
	}
	abs, err := filepath.Abs(dir)
	if err != nil {
		return nil, err
	}
	codes := map[string]string{}
	err = withLedger(c.Context(), path, false, func(l *ledger.Ledger) error {
		rows, err := l.List(c.Context(), ledger.Filter{Batch: filepath.Base(abs)})
		for _, r := range rows {
			codes[r.Voucher] = r.Code
		}
		if err == nil && len(rows) == 0 {
			return &batch.HintError{Err: fmt.Errorf("%s holds no batch %s", path, filepath.Base(abs)),
				Hint: "add it with 'forayseq ledger add', under the name of its folder"}
		}
		return err
	})
	return codes, err
}
