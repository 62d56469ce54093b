package simulate

// Params describe a sequencing reaction and its run. Lengths along the trace
// are in samples, heights in trace units, both as in an analysed trace.
// Start from one of the presets.
type Params struct {
	// Signal is the mean height of a peak at the start of the read; zero is a
	// failed reaction.
	Signal float64
	// Decay is the share of the signal lost with each base.
	Decay float64
	// HeightSpread is the relative spread of peak heights, half of it by the
	// bases before, half at random.
	HeightSpread float64
	// Noise is the standard deviation of the noise floor.
	Noise float64
	// Background is the mean height of false peaks (fragments that ended
	// wrongly) as a share of the signal there; it doubles every 300 bases.
	Background float64
	// Crosstalk is the share of each dye that shows in the channels beside it.
	Crosstalk float64
	// Spacing is the distance of peaks at the start, Drift its relative
	// growth over 1,000 bases, Jitter the standard deviation of the distances
	// of peaks 150 bases on, about a third less at the end.
	Spacing, Drift, Jitter float64
	// Width is the standard deviation of a peak at the start. It grows along
	// the read: at base n its square is Width^2 + (n/Widening)^2.
	Width, Widening float64
	// Start is the number of poor bases at the start, where fragments run
	// unevenly and unspent dye shows as broad humps of height Blobs x Signal.
	Start int
	Blobs float64
	// Hump is the height of one more hump of unspent dye between bases 60 and
	// 90, four bases wide, as a share of Signal; zero is none.
	Hump float64
	// Saturation is the height at which a channel is cut off; a twelfth of what
	// is cut off shows in the channels beside it. Zero is no limit.
	Saturation float64
	// Slip is the share of the molecules in which the polymerase slips at each
	// base of a run of one base beyond the eighth: four in five of these lose
	// a base, the others gain one, and all their fragments behind it pass a
	// base too early or too late. RunLoss is the share of the signal lost at
	// each such base.
	Slip, RunLoss float64
	// Overrun is the number of bases that recording goes on after the end of
	// the template; MaxBases the longest run.
	Overrun, MaxBases int
}

// Good is a clean read: usable beyond 700 bases.
func Good() Params {
	return Params{
		Signal: 850, Decay: 0.0006, HeightSpread: 0.28, Noise: 7, Background: 0.008, Crosstalk: 0.012,
		Spacing: 11.9, Drift: 0.015, Jitter: 0.92, Width: 2.6, Widening: 160,
		Start: 64, Blobs: 2, Overrun: 12, MaxBases: 1050,
	}
}

// Fair is an everyday read: usable for some 500 to 650 bases.
func Fair() Params {
	p := Good()
	p.Signal, p.Decay, p.Noise, p.Background = 520, 0.0012, 13, 0.02
	p.Widening, p.Jitter, p.Start = 120, 1.0, 64
	return p
}

// Poor is a weak read: a few hundred bases of doubtful quality.
func Poor() Params {
	p := Good()
	p.Signal, p.Decay, p.Noise, p.Background = 240, 0.0018, 16, 0.05
	p.Crosstalk, p.Widening, p.Jitter, p.Start, p.Blobs = 0.03, 90, 1.15, 72, 3
	return p
}

// Failed is a reaction without product: noise only.
func Failed() Params {
	p := Good()
	p.Signal, p.Noise, p.Blobs, p.MaxBases = 0, 24, 0, 420
	return p
}

// Short is a clean read of which only the first 220 bases were recorded.
func Short() Params {
	p := Good()
	p.MaxBases = 220
	return p
}
