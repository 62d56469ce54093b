package cmd

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"github.com/spf13/pflag"

	"forayseq/seqqc/batch"
)

// settingFlags makes a flag of every setting of the stages named.
func settingFlags(flags *pflag.FlagSet, s *batch.Settings, stages ...string) {
	for _, e := range s.Entries() {
		if slices.Contains(stages, e.Stage) {
			flags.Var(e, e.Name, e.Usage)
		}
	}
}

// threadsFlag makes a flag of the number of threads.
func threadsFlag(flags *pflag.FlagSet, v *int) {
	e := batch.Threads(v)
	flags.Var(e, e.Name, e.Usage)
}

// settingsFile applies the batch folder's settings, leaving those alone that
// were given as flags.
func settingsFile(s *batch.Settings, dir string, flags *pflag.FlagSet) error {
	f, err := os.Open(filepath.Join(dir, batch.SettingsName))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	err = s.Load(f, func(name string) bool { return flags.Changed(name) })
	return errors.Join(err, f.Close())
}
