package simulate

import "math/rand/v2"

// The draws below use nothing of rng but Uint64, and no function of package
// math whose last bit may differ between machines, so that a seed gives the
// same read everywhere. For the same reason products that are added to
// something are converted to float64 explicitly: the conversion keeps a
// compiler from fusing the two operations into one with another rounding
// (Go specification, Floating-point operators).

// uniform draws from [0, 1).
func uniform(rng *rand.Rand) float64 { return float64(rng.Uint64()>>11) / (1 << 53) }

// normal draws from a bell curve of mean 0 and standard deviation 1: the sum
// of four uniform draws (Irwin-Hall), which ends at 3.46.
func normal(rng *rand.Rand) float64 { return bell(rng.Uint64()) }

// bell turns 64 random bits into such a draw.
func bell(u uint64) float64 {
	sum := u&0xffff + u>>16&0xffff + u>>32&0xffff + u>>48
	return (float64(sum) - 4*32767.5) / 37837.2
}

// spike draws from a skewed distribution of mean 1, mostly small and at most
// 4: the cube of a uniform draw.
func spike(rng *rand.Rand) float64 {
	u := uniform(rng)
	return 4 * u * u * u
}

// mix hashes x: the finisher of SplitMix64 (Steele, Lea & Flood 2014, Fast
// splittable pseudorandom number generators, DOI 10.1145/2714064.2660195).
func mix(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}
