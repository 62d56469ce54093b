// Package outfile writes files whole or not at all.
package outfile

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// File is a file to be written.
type File struct {
	Name  string // without a folder
	Write func(io.Writer) error
}

// WriteAll puts files into dir, which is made where it is missing. All of them
// are written aside first and then renamed, so that where one cannot be written
// (a full disk) the old ones stay, all of one time, and a reader never sees half
// a file. The last file is taken away before the first is renamed: where it is
// there, the others are those of its time, even after the process was killed.
// What a killed process had written aside is removed, where no other process is
// writing into dir. Other files in dir are left alone.
func WriteAll(dir string, files []File) (err error) {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	release, err := claim(dir)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, release()) }()
	aside := make([]string, 0, len(files))
	defer func() {
		for _, name := range aside {
			err = errors.Join(err, os.Remove(name))
		}
	}()
	for _, f := range files {
		name, err := writeAside(dir, f.Write)
		if err != nil {
			return fmt.Errorf("write %s: %w", f.Name, err)
		}
		aside = append(aside, name)
	}
	if len(files) > 1 {
		last := filepath.Join(dir, files[len(files)-1].Name)
		if err := os.Remove(last); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	for _, f := range files {
		if err := os.Rename(aside[0], filepath.Join(dir, f.Name)); err != nil {
			return err
		}
		aside = aside[1:]
	}
	return nil
}

// asidePrefix begins the names of files written aside, and of no others.
const asidePrefix = ".unfinished-"

// removeParts removes all files of dir that were written aside.
func removeParts(dir string) error {
	entries, err := os.ReadDir(dir)
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), asidePrefix) || !e.Type().IsRegular() {
			continue
		}
		if e := os.Remove(filepath.Join(dir, e.Name())); e != nil && !errors.Is(e, fs.ErrNotExist) {
			err = errors.Join(err, e)
		}
	}
	return err
}

// writeAside writes a file in dir under a name of its own, all of it on the
// disk when this returns, and gives the name. Where it cannot, nothing is left.
func writeAside(dir string, write func(io.Writer) error) (name string, err error) {
	f, err := os.CreateTemp(dir, asidePrefix+"*")
	if err != nil {
		return "", err
	}
	buf := bufio.NewWriter(f)
	err = write(buf)
	if err == nil {
		err = buf.Flush()
	}
	if err == nil {
		// CreateTemp makes the file private; results are for the club to share.
		err = f.Chmod(0o644)
	}
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return "", errors.Join(err, os.Remove(f.Name()))
	}
	return f.Name(), nil
}
