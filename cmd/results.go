package cmd

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"forayseq/seqqc"
	"forayseq/seqqc/batch"
)

// resultFile is the file in a results folder that vouches for the others.
const resultFile = "results.json"

// readResults reads what the last run of a batch found. It refuses results that
// are older than what the club wrote since: the sheet and the decisions.
func readResults(dir string) (res *seqqc.Result, err error) {
	path := filepath.Join(dir, batch.ResultsName, resultFile)
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		if _, err := os.Stat(dir); err != nil {
			return nil, &batch.HintError{Err: err, Hint: "name a batch folder"}
		}
		return nil, &batch.HintError{
			Err:  fmt.Errorf("%s holds no results", dir),
			Hint: "run 'forayseq run " + dir + "' first",
		}
	}
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	for _, name := range batch.TextInputs() {
		newer, err := os.Stat(filepath.Join(dir, name))
		if err == nil && newer.ModTime().After(info.ModTime()) {
			return nil, &batch.HintError{
				Err:  fmt.Errorf("%s was changed after the last run", name),
				Hint: "run 'forayseq run " + dir + "' again, so that the results follow it",
			}
		}
	}
	res, err = seqqc.ReadResult(f)
	if err != nil {
		return nil, &batch.HintError{
			Err:  fmt.Errorf("%s: %w", path, err),
			Hint: "run 'forayseq run " + dir + "' again with this program",
		}
	}
	return res, nil
}
