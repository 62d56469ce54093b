//go:build unix

package main

import "golang.org/x/sys/unix"

// processorTime gives the seconds that the processors worked for this process.
func processorTime() float64 {
	var used unix.Rusage
	if err := unix.Getrusage(unix.RUSAGE_SELF, &used); err != nil {
		panic(err) // it has no other error than a wrong argument
	}
	return float64(used.Utime.Nano()+used.Stime.Nano()) / 1e9
}
