//go:build !unix

package refs

import (
	"io"
	"os"
)

// mapFile reads a file into memory.
func mapFile(f *os.File) (data []byte, unmap func() error, err error) {
	info, err := f.Stat()
	if err != nil {
		return nil, nil, err
	}
	data = alignedBytes(int(info.Size()))
	_, err = io.ReadFull(f, data)
	return data, func() error { return nil }, err
}
