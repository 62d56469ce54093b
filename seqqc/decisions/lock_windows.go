package decisions

import (
	"math"
	"os"

	"golang.org/x/sys/windows"
)

// lock waits until no other program holds the file, and holds it until it is
// closed. What is locked is a byte far behind the end, for nobody may read bytes
// that are locked here.
func lock(f *os.File) error {
	return windows.LockFileEx(windows.Handle(f.Fd()), windows.LOCKFILE_EXCLUSIVE_LOCK, 0, 1, 0,
		&windows.Overlapped{OffsetHigh: math.MaxInt32})
}
