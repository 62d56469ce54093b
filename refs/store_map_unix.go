//go:build unix

package refs

import (
	"fmt"
	"math"
	"os"

	"golang.org/x/sys/unix"
)

// mapFile maps a file into memory, to be read only. Processes that map the same
// file share the memory. The file must not be written to or cut short while it
// is mapped; another one may take its name.
func mapFile(f *os.File) (data []byte, unmap func() error, err error) {
	info, err := f.Stat()
	if err != nil {
		return nil, nil, err
	}
	size := info.Size()
	switch {
	case !info.Mode().IsRegular():
		return nil, nil, damaged("it is no regular file")
	case size == 0: // nothing can be mapped
		return nil, func() error { return nil }, nil
	case size > math.MaxInt:
		return nil, nil, fmt.Errorf("%d bytes are too many for this machine", size)
	}
	data, err = unix.Mmap(int(f.Fd()), 0, int(size), unix.PROT_READ, unix.MAP_SHARED)
	if err != nil {
		return nil, nil, &os.PathError{Op: "map", Path: f.Name(), Err: err}
	}
	return data, func() error { return unix.Munmap(data) }, nil
}
