package seqqc

// Signal is the evidence of the four traces of a read at each of its calls.
// Positions along the trace are samples, those along the read are bases of
// Trace.Bases; heights are in trace units above the local baseline, after the
// crosstalk of other channels was taken off.
type Signal struct {
	// Bases has one entry for each base of Trace.Bases.
	Bases []BaseSignal
	// Usable is the stretch of bases in which peaks stand out of the noise;
	// empty where none do.
	Usable Interval
	// Lost is where the signal breaks off behind a run of one base; its Run
	// is 0 where it does not.
	Lost SignalLoss
	// Blobs are the humps of unspent dye near the start, Clipped the cut tops of
	// peaks that reach the end of the range; both in samples, in order.
	Blobs   []Interval
	Clipped []Interval
	// Baseline and Noise are the median baseline of each channel (A, C, G, T)
	// and the standard deviation of its noise, in trace units.
	Baseline [4]float64
	Noise    [4]float64
	// Crosstalk[from][to] is the share of channel from that still shows in
	// channel to, as the read's own clean peaks tell; 1 on the diagonal, 0
	// where nothing could be told.
	Crosstalk [4][4]float64
	// Spacing is the median distance of neighbouring peaks, in samples.
	Spacing float64
	// Notes say in plain words what could not be worked out.
	Notes []string
}

// SignalLoss is a run of one base behind which a read has no usable signal.
type SignalLoss struct {
	// After is the first base behind the run, Run the run's length in bases
	// and Base its letter.
	After int
	Run   int
	Base  byte
}

// BaseSignal is the peak evidence at one called base.
type BaseSignal struct {
	// At is the sample the evidence is about: that of the base's own peak.
	At int
	// Heights are those of a peak of each channel (A, C, G, T) at this base
	// when the channel is explained as a sum of peaks, one a base: the flank of
	// a neighbour's peak is the neighbour's. Never negative. They tell how much
	// of each base there is, not that a peak was seen: see Primary and
	// Secondary.
	Heights [4]float32
	// Primary is the highest of Heights, Secondary the next.
	Primary, Secondary Peak
	// Ratio is the height of the secondary peak over that of the primary one,
	// from 0 to 1; 0 where the secondary is no Summit, or no higher than noise.
	Ratio float32
	// Before and After are the distances to the neighbouring bases' peaks, in
	// samples, 0 at the ends; Spacing is the usual distance around here.
	Before, After, Spacing float32
	// Width is the usual standard deviation of peaks around here, in samples.
	Width float32
	// Noise is the height, in trace units, that chance alone rarely reaches
	// around here.
	Noise float32
	// Clipped is true where the peak reaches the top of the range, so that its
	// height is a lower bound; Blob where it lies on a hump of unspent dye.
	Clipped, Blob bool
}

// Peak is the signal of one channel at a base.
type Peak struct {
	// Base is the letter of the channel, 0 where there is no signal at all.
	Base byte
	// At is the sample of the summit; that of the base where there is none.
	At int
	// Height is the one of Heights; Area the height times the width of the
	// peak, in trace units times samples.
	Height, Area float32
	Shape        PeakShape
}

// PeakShape says how a peak shows in its channel.
type PeakShape uint8

// The shapes.
const (
	// Flat: no signal above noise.
	Flat PeakShape = iota
	// Shoulder: signal, but no maximum of its own at this base.
	Shoulder
	// Summit: a local maximum that is this base's own and stands out of the
	// noise.
	Summit
)

// String gives "flat", "shoulder" or "summit".
func (s PeakShape) String() string {
	switch s {
	case Shoulder:
		return "shoulder"
	case Summit:
		return "summit"
	}
	return "flat"
}
