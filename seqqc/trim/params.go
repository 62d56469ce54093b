package trim

import "fmt"

// Params are the settings of trimming. Start from Defaults.
type Params struct {
	// Limit is the error probability at which a base is worth as much kept as
	// dropped: the kept window is the one with the largest sum of (Limit -
	// error probability). Between 0 and 1.
	Limit float64
	// EndWindow and EndAmbiguous: an end is cut back until its outermost
	// EndWindow bases hold at most EndAmbiguous codes other than A, C, G and T.
	EndWindow, EndAmbiguous int

	// OwnReach is the largest number of bases before the site of the read's
	// own named primer (or of a tail); UnknownReach the same where the primer
	// is not known. See startOfAmplicon.
	OwnReach, UnknownReach int
	// RunOff is the largest number of kept bases behind the site of a primer
	// that ends the amplicon without having been named. See endOfAmplicon.
	RunOff int

	// MinBases is the least number of kept bases of a usable read; MaxBases
	// the longest input that is taken for a Sanger read at all.
	MinBases, MaxBases int
	// MaxErrorRate is the largest predicted error rate of a usable read;
	// DoubtErrorRate the rate above which it is flagged low_quality.
	MaxErrorRate, DoubtErrorRate float64
	// MaxAmbiguousShare is the largest share of ambiguous codes among the kept
	// bases of a usable read. It is what tells a poor read where there are no
	// qualities.
	MaxAmbiguousShare float64
}

// Defaults gives the default settings.
//
// Limit 0.02 is calibrated: testdata/README.md has the tables. It is the
// largest limit at which no simulated read of everyday quality spends the 0.4 %
// of differences that a species match leaves room for, and at which the last
// bases kept of real reads are about as good as their qualities say.
//
// MinBases 100: a hit needs 150 compared columns outside the 5.8S, so a read
// of less than 100 bases says nothing alone and little beside a partner.
// MaxBases 5,000: several times the longest run of a capillary (about 1,200
// bases); what is longer is another kind of file.
//
// MaxErrorRate 0.03: the genus threshold of 94.3 % leaves room for 5.7 % of
// differences (Vu et al. 2019, Studies in Mycology 92: 135-154), and a read
// that spends more than half of them on its own errors decides nothing. With
// the default Limit no window is that poor; it matters where Limit is raised.
// DoubtErrorRate 0.01: at that rate errors alone hide the species threshold.
// MaxAmbiguousShare 0.05 by the same measure. EndWindow 20 and EndAmbiguous 2,
// OwnReach, UnknownReach and RunOff: common practice, no source.
func Defaults() Params {
	return Params{
		Limit:     0.02,
		EndWindow: 20, EndAmbiguous: 2,
		OwnReach: 80, UnknownReach: 5, RunOff: 20,
		MinBases: 100, MaxBases: 5000,
		MaxErrorRate: 0.03, DoubtErrorRate: 0.01, MaxAmbiguousShare: 0.05,
	}
}

// Validate reports the first setting that makes no sense.
func (p Params) Validate() error {
	for _, s := range []struct {
		name string
		v    float64
	}{
		{"limit", p.Limit}, {"largest error rate", p.MaxErrorRate},
		{"doubtful error rate", p.DoubtErrorRate}, {"largest share of ambiguous bases", p.MaxAmbiguousShare},
	} {
		// Written so that NaN fails.
		if !(s.v > 0 && s.v < 1) {
			return fmt.Errorf("trim: %s is %v, and must lie between 0 and 1", s.name, s.v)
		}
	}
	for _, s := range []struct {
		name       string
		v, atLeast int
	}{
		{"end window", p.EndWindow, 1}, {"ambiguous bases of an end window", p.EndAmbiguous, 0},
		{"reach of a named primer", p.OwnReach, 0}, {"reach of an unknown primer", p.UnknownReach, 0},
		{"run-off", p.RunOff, 0}, {"least number of bases", p.MinBases, 1},
		{"largest number of bases", p.MaxBases, p.MinBases},
	} {
		if s.v < s.atLeast {
			return fmt.Errorf("trim: %s is %d, and must be at least %d", s.name, s.v, s.atLeast)
		}
	}
	return nil
}
