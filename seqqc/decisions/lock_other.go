//go:build !unix && !windows

package decisions

import "os"

// lock does nothing: the system has no locks that we know of.
func lock(*os.File) error { return nil }
