package verdict

import (
	"fmt"
	"math"
	"strings"

	"forayseq/seqqc"
)

// The clues of what comparing the vouchers with one another found.

// once makes a clue count once.
func once(found func(facts) (string, float64)) func(facts) (string, float64) {
	return func(f facts) (string, float64) {
		said, _ := found(f)
		return said, 1
	}
}

func byPattern(kind seqqc.Pattern) func(facts) (string, float64) {
	return func(f facts) (string, float64) {
		b := f.pattern(kind)
		if b == nil {
			return "", 0
		}
		const least, untold, most = 1, 2, 3 // factors of ten
		if b.Expected <= 0 {
			return clause(b.Reason), untold
		}
		return clause(b.Reason), min(max(-math.Log10(b.Expected), least), most)
	}
}

// clause makes a sentence a part of another: codes keep their capitals.
func clause(sentence string) string {
	s := strings.TrimSuffix(sentence, ".")
	for _, word := range []string{"The ", "When "} {
		if strings.HasPrefix(s, word) {
			return strings.ToLower(s[:1]) + s[1:]
		}
	}
	return s
}

func readOfNeighbour(f facts) (string, float64) {
	b := f.pattern(seqqc.PatternCarryOver)
	if b == nil || b.Read == "" {
		return "", 0
	}
	return fmt.Sprintf("the read %s holds the DNA of a neighbouring well", b.Read), 1
}

func halfExchange(f facts) (string, float64) {
	b := f.pattern(seqqc.PatternHalfExchange)
	if b == nil {
		return "", 0
	}
	const untold, most = 0.5, 2
	said, _, _ := strings.Cut(clause(b.Reason), ", so that")
	if b.Expected <= 0 {
		return said, untold
	}
	return said, min(max(-math.Log10(b.Expected), 0), most)
}

func noSignOfContamination(f facts) (string, float64) {
	for _, kind := range []seqqc.Pattern{seqqc.PatternControl, seqqc.PatternCarryOver, seqqc.PatternOneBarcode} {
		if f.pattern(kind) != nil {
			return "", 0
		}
	}
	if f.c.Kind == seqqc.Blank || f.has(seqqc.ControlSignal) || f.c.Alone {
		return "", 0
	}
	return "comparing the vouchers and the blanks with one another found no sign of it", 1
}

// notNeighbours tells where wells are known, the barcode is shared, and neither a
// neighbour's DNA nor a blank shows how it could have come here.
func notNeighbours(f facts) (string, float64) {
	if f.pattern(seqqc.PatternOneBarcode) == nil || f.pattern(seqqc.PatternControl) != nil || f.pattern(seqqc.PatternCarryOver) != nil {
		return "", 0
	}
	for _, s := range f.c.Samples {
		if s.Sample.PCRWell != "" || s.Sample.SeqWell != "" {
			return "no blank is known to hold this DNA, and no neighbouring well more than chance would give", 1
		}
	}
	return "", 0
}
