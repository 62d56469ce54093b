//go:build unix

package decisions

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// lock waits until no other program holds the file, and holds it until it is
// closed.
func lock(f *os.File) error {
	for {
		if err := unix.Flock(int(f.Fd()), unix.LOCK_EX); !errors.Is(err, unix.EINTR) {
			return err
		}
	}
}
