package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"forayseq/seqqc"
)

// count is right of all.
type count struct{ right, all int }

func (c *count) add(right bool) {
	c.all++
	if right {
		c.right++
	}
}

// String gives the share with its interval.
func (c count) String() string {
	if c.all == 0 {
		return "0\t0\t-\t-"
	}
	lo, hi := wilson(c.right, c.all)
	return fmt.Sprintf("%d\t%d\t%.1f\t%.1f-%.1f", c.right, c.all, 100*float64(c.right)/float64(c.all), 100*lo, 100*hi)
}

// wilson gives the 95 % interval of the share k of n.
func wilson(k, n int) (lo, hi float64) {
	const z = 1.959964
	p, m := float64(k)/float64(n), float64(n)
	mid := (p + z*z/(2*m)) / (1 + z*z/m)
	half := z / (1 + z*z/m) * math.Sqrt(p*(1-p)/m+z*z/(4*m*m))
	return max(0, mid-half), min(1, mid+half)
}

// accused reports whether a verdict speaks against the name on the label, or
// names the person in the field first among the causes.
func accused(v seqqc.Verdict) bool {
	switch v.Kind {
	case seqqc.Conflict, seqqc.Overgrowth, seqqc.NonFungal:
		return true
	}
	return firstCause(v) == seqqc.CauseFieldName
}

func firstCause(v seqqc.Verdict) seqqc.CauseCode {
	if len(v.Causes) == 0 {
		return ""
	}
	return v.Causes[0].Code
}

// amongFirst reports whether a cause is one of the first n; where there is none,
// that none was named.
func amongFirst(v seqqc.Verdict, cause seqqc.CauseCode, n int) bool {
	if cause == "" {
		return len(v.Causes) == 0
	}
	i := slices.IndexFunc(v.Causes, func(c seqqc.Cause) bool { return c.Code == cause })
	return i >= 0 && i < n
}

// asExpected reports whether the verdict is the true one.
func (o outcome) asExpected() bool {
	return o.verdict.Kind == o.truth.verdict && (o.reason == "" || o.verdict.ReasonCode == o.reason)
}

// measures are the figures of the benchmark.
type measures struct {
	// agreesApart are vouchers with DNA of another genus than the label's that
	// agree all the same.
	agreesApart                count
	cleanAccused, cleanDecided count
	// exchanges of different genera on plates that are clean but for them, and on
	// mixed ones.
	exchangesFound, exchangesMixed    count
	labels                            labels
	verdicts                          map[[2]string]int // true, given
	causes                            map[[2]string]int // true, first
	scenarios                         []string
	expected, first, second, attended map[string]*count // by scenario
}

func measured(all []outcome) *measures {
	m := &measures{verdicts: map[[2]string]int{}, causes: map[[2]string]int{},
		expected: map[string]*count{}, first: map[string]*count{}, second: map[string]*count{}, attended: map[string]*count{}}
	for _, o := range all {
		m.add(o)
	}
	return m
}

func (m *measures) add(o outcome) {
	if o.apart() {
		m.agreesApart.add(o.verdict.Kind == seqqc.Agrees)
		if o.cause == seqqc.CauseExchanged {
			found := slices.Contains(o.verdict.Flags, seqqc.SwapSuspected)
			if strings.HasSuffix(o.scenario, allElseClean) {
				m.exchangesFound.add(found)
			} else {
				m.exchangesMixed.add(found)
			}
		}
	}
	if o.clean {
		m.cleanAccused.add(accused(o.verdict))
		m.cleanDecided.add(o.verdict.Kind != seqqc.Undetermined)
	}
	m.verdicts[[2]string{string(o.truth.verdict), string(o.verdict.Kind)}]++
	m.causes[[2]string{string(o.cause), string(firstCause(o.verdict))}]++
	if m.expected[o.scenario] == nil {
		m.scenarios = append(m.scenarios, o.scenario)
		for _, by := range []map[string]*count{m.expected, m.first, m.second, m.attended} {
			by[o.scenario] = &count{}
		}
	}
	m.expected[o.scenario].add(o.asExpected())
	m.first[o.scenario].add(amongFirst(o.verdict, o.cause, 1))
	m.second[o.scenario].add(amongFirst(o.verdict, o.cause, 2))
	m.attended[o.scenario].add(o.verdict.Attention)
}
