//go:build !unix

package main

import "time"

var started = time.Now()

// processorTime gives the seconds since the start, for want of better.
func processorTime() float64 { return time.Since(started).Seconds() }
