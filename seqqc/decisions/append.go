package decisions

import (
	"bytes"
	"crypto/rand"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"forayseq/seqqc"
)

// NewID gives an ID that no other decision has.
func NewID() string {
	id := make([]byte, 8)
	_, _ = rand.Read(id) // never fails
	return hex.EncodeToString(id)
}

// Append writes a decision at the end of a file, which is made where it is
// missing. When it returns without error, the line is on the disk. A decision
// that Check refuses is not written: the error is a *RefusedError.
func Append(path string, d seqqc.Decision) (err error) {
	if err := Check(d); err != nil {
		return &RefusedError{err.Error()}
	}
	_, statErr := os.Stat(path)
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_APPEND, 0o644)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, f.Close()) }() // which gives the lock back
	if err := lock(f); err != nil {
		return fmt.Errorf("%s: lock: %w", path, err)
	}
	cut, err := cutShort(f)
	if err != nil {
		return err
	}
	line, err := lineOf(d, cut)
	if err != nil {
		return err
	}
	if _, err := f.Write(line); err != nil {
		return err
	}
	if err := f.Sync(); err != nil {
		return err
	}
	if errors.Is(statErr, fs.ErrNotExist) {
		syncDir(filepath.Dir(path))
	}
	return nil
}

// lineOf gives the line of a decision, behind a line break where the file ends
// inside a line.
func lineOf(d seqqc.Decision, cut bool) ([]byte, error) {
	line, err := json.Marshal(d)
	if cut {
		line = append([]byte{'\n'}, line...)
	}
	return append(line, '\n'), err
}

// cutShort reports whether a file ends inside a line.
func cutShort(f *os.File) (bool, error) {
	end, err := f.Seek(0, io.SeekEnd)
	if err != nil || end == 0 {
		return false, err
	}
	var last [1]byte
	_, err = f.ReadAt(last[:], end-1)
	return !bytes.Equal(last[:], []byte{'\n'}), err
}

// syncDir brings a new file's name to the disk, where the system can do that.
func syncDir(dir string) {
	if d, err := os.Open(dir); err == nil {
		_ = d.Sync() // some systems sync no folders
		_ = d.Close()
	}
}
