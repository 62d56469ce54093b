package align

// Kernel names the form in which PatternLanes works here, the fastest that the
// machine has: "avx512-vbmi2", "avx512", "avx2", or "go" where there is none of
// these or the build has the tag purego.
func Kernel() string { return distanceForms()[0].name }
