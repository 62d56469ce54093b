package match

import (
	"strings"

	"forayseq/seqqc"
)

// leastInRead is how many differences between the parents a read must show in
// favour of one of them to speak for it.
const leastInRead = 4

// joint asks each read which parents it shows.
func (j joiner) joint(left, right errorLine, first, last int, reads []seqqc.ReadPlacement) seqqc.Joint {
	n := len(j.query.Seq)
	sawLeft, sawRight := false, false
	for _, r := range reads {
		clip := func(at int) int { return min(max(at-j.span.Start, 0), n) }
		start, end := clip(r.On.Start), clip(r.On.End)
		// What the parents differ by before and behind the breakpoint, in the read.
		before, behind := max(start, min(end, first)), min(end, max(start, last))
		showsLeft := right.in(start, before)-left.in(start, before) >= leastInRead
		showsRight := left.in(behind, end)-right.in(behind, end) >= leastInRead
		if showsLeft && showsRight {
			return seqqc.JointInRead
		}
		sawLeft, sawRight = sawLeft || showsLeft, sawRight || showsRight
	}
	if sawLeft && sawRight {
		return seqqc.JointOfReads
	}
	return seqqc.JointUnknown
}

// partsAt names the parts of the repeat that v, its end included, touches.
func partsAt(r seqqc.Region, v seqqc.Interval) string {
	var names []string
	for _, part := range []struct {
		name string
		at   seqqc.Interval
	}{{"SSU", r.SSU}, {"ITS1", r.ITS1}, {"5.8S", r.R58S}, {"ITS2", r.ITS2}, {"LSU", r.LSU}} {
		if !part.at.Empty() && part.at.Start <= v.End && v.Start < part.at.End {
			names = append(names, part.name)
		}
	}
	return strings.Join(names, " or ")
}
