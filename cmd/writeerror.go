package cmd

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"syscall"

	"forayseq/seqqc/batch"
)

// writeError says what to do where files could not be written into a folder;
// nil stays nil, and other errors stay as they are.
func writeError(dir string, err error) error {
	switch {
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT):
		return &batch.HintError{Err: fmt.Errorf("the disk is full, and the files in %s stay as they were: %w", dir, err),
			Hint: "make room on the disk, or name a folder on another one, and try again"}
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return &batch.HintError{Err: err, Hint: "see who may write to " + dir + ", or name another folder"}
	}
	return err
}

// quoted lists texts in quotation marks.
func quoted(list []string) string { return `"` + strings.Join(list, `", "`) + `"` }
