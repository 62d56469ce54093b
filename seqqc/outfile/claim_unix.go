//go:build unix

package outfile

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// claim says that somebody is writing into dir until release is called, and
// first removes what a process left there that was killed. A living process has
// a claim of its own, and the system drops that of a dead one: parts are removed
// only by who holds dir alone. Where the file system knows no locks nothing is
// removed.
func claim(dir string) (release func() error, err error) {
	d, err := os.Open(dir)
	if err != nil {
		// A folder may be one to write into and not to list.
		return func() error { return nil }, nil
	}
	if unix.Flock(int(d.Fd()), unix.LOCK_EX|unix.LOCK_NB) == nil {
		err = removeParts(dir)
	}
	for {
		if e := unix.Flock(int(d.Fd()), unix.LOCK_SH); !errors.Is(e, unix.EINTR) {
			break
		}
	}
	if err != nil {
		return nil, errors.Join(err, d.Close())
	}
	return d.Close, nil
}
