package batch

import (
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// stamp tells whether a file is still the one that was read.
type stamp struct {
	size    int64
	changed time.Time
}

// stamps gives the stamps of all inputs of a batch but its decisions, which are
// taken up as they come. Files of the batch folder are named from there. What
// cannot be looked at counts as missing.
func stamps(opt Options) map[string]stamp {
	out := map[string]stamp{}
	note := func(name, path string) {
		if info, err := os.Stat(path); err == nil && !info.IsDir() {
			out[name] = stamp{info.Size(), info.ModTime()}
		}
	}
	for _, name := range append(TextInputs(), RefsName, RefsName+".gz") {
		if name != DecisionsName {
			note(name, filepath.Join(opt.Dir, name))
		}
	}
	for _, path := range []string{opt.Refs, opt.Taxonomy, opt.Names} {
		if path != "" {
			note(path, path)
		}
	}
	reads := os.DirFS(opt.Dir)
	_ = fs.WalkDir(reads, ReadsName, func(name string, e fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return nil // as if it were not there
		case strings.HasPrefix(e.Name(), "."): // a system's own notes are no reads
			if e.IsDir() {
				return fs.SkipDir
			}
		case !e.IsDir():
			note(name, filepath.Join(opt.Dir, filepath.FromSlash(name)))
		}
		return nil
	})
	return out
}

// mostOutdated is how many files are named that are others now.
const mostOutdated = 3

// Outdated says which inputs are others on the disk than those that were read
// when the batch was opened, and what to do; empty where none is. Size and time
// of each file are looked at, not its content.
func (s *Session) Outdated() string {
	now := stamps(s.opt)
	var said []string
	for _, name := range slices.Sorted(maps.Keys(s.read)) {
		was := s.read[name]
		is, there := now[name]
		switch {
		case !there:
			said = append(said, name+" was taken away")
		case is.size != was.size || !is.changed.Equal(was.changed):
			said = append(said, name+" was changed")
		}
	}
	for _, name := range slices.Sorted(maps.Keys(now)) {
		if _, known := s.read[name]; !known {
			said = append(said, name+" was added")
		}
	}
	if len(said) == 0 {
		return ""
	}
	if more := len(said) - mostOutdated; more > 0 {
		said = append(said[:mostOutdated], fmt.Sprintf("%d more files are others", more))
	}
	return fmt.Sprintf("Since this review was started, %s. What is shown here, and what follows from a decision, rests on the files as they were. "+
		"End the review where it was started (Ctrl-C) and start it again: decisions are kept.", listed(said))
}

// listed joins parts of a sentence.
func listed(parts []string) string {
	if len(parts) < 2 {
		return strings.Join(parts, "")
	}
	return strings.Join(parts[:len(parts)-1], ", ") + " and " + parts[len(parts)-1]
}
