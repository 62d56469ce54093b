package cross

import (
	"fmt"
	"math/rand/v2"

	"forayseq/seqqc"
)

// move is a way in which a plate can be moved: DNA in a well belongs to the
// label of the well that to gives.
type move struct {
	says string
	to   func(w well) (row, col int)
}

// maxShift is the largest number of wells by which a plate is taken to be
// shifted: a column, or a row, of 96 wells and the next.
const maxShift = 12

// moves gives the ways to move a plate. Wells beyond it are told by a place
// outside it.
func (l *layout) moves(p plate) []move {
	down := func(w well) int { return w.col*p.rows + w.row }
	fromDown := func(i int) (int, int) {
		if i < 0 {
			return -1, -1
		}
		return i % p.rows, i / p.rows
	}
	along := func(w well) int { return w.row*p.cols + w.col }
	fromAlong := func(i int) (int, int) {
		if i < 0 {
			return -1, -1
		}
		return i / p.cols, i % p.cols
	}
	var out []move
	for n := 1; n <= maxShift; n++ {
		for _, by := range []int{n, -n} {
			// DNA that belongs to a later place stands too early, and so does a
			// label beside the DNA of an earlier one stand too late.
			tubes, labels := "forwards", "up"
			if by > 0 {
				tubes, labels = "backwards", "down"
			}
			if !l.isPlate() {
				out = append(out, move{fmt.Sprintf("the labels slipped %s by %s", labels, seqqc.Count(n, "row")),
					func(w well) (int, int) { return w.row + by, 0 }})
				continue
			}
			out = append(out,
				move{fmt.Sprintf("the tubes were shifted %s by %s, counted down the columns", tubes, seqqc.Count(n, "well")),
					func(w well) (int, int) { return fromDown(down(w) + by) }},
				move{fmt.Sprintf("the tubes were shifted %s by %s, counted along the rows", tubes, seqqc.Count(n, "well")),
					func(w well) (int, int) { return fromAlong(along(w) + by) }})
		}
	}
	if !l.isPlate() {
		return append(out, move{"the labels were listed from the last to the first", func(w well) (int, int) { return p.rows - 1 - w.row, 0 }})
	}
	return append(out,
		move{"the plate was turned by 180 degrees", func(w well) (int, int) { return p.rows - 1 - w.row, p.cols - 1 - w.col }},
		move{"the plate was mirrored, first row for last", func(w well) (int, int) { return p.rows - 1 - w.row, w.col }},
		move{"the plate was mirrored, first column for last", func(w well) (int, int) { return w.row, p.cols - 1 - w.col }},
		move{"the plate was filled along the rows and read down the columns", func(w well) (int, int) { return fromDown(along(w)) }},
		move{"the plate was filled down the columns and read along the rows", func(w well) (int, int) { return fromAlong(down(w)) }},
	)
}

// trial is a move of one plate: which voucher's DNA is held to the label of
// which slot of the plate.
type trial struct {
	move  move
	pairs []pair
}

// pair is a voucher whose DNA a move brings to the label of a slot.
type pair struct {
	voucher int
	fits    []Fit // of its DNA, by voucher
	slot    int   // index in the labels of the plate
}

// plateMoves finds plates of which DNA and labels agree better when they are
// moved, in whole or from some well on.
//
// It looks at the vouchers of a plate whose DNA contradicts their genus, and
// takes the move after which the most of them fit. How many moves as good there
// would be by chance is counted, for no formula holds for all of them together:
// the labels of the plate are dealt out at random over its wells
// Params.Dealings times, with a fixed seed, and all moves tried each time. With
// n dealings in which h moves in all explained as many, the number expected is
// (h + 1)/(n + 1) for each plate (North et al. 2002, Am. J. Hum. Genet. 71:
// 439-441, for the ones added; from memory), times the plates looked at. A plate
// of one genus has nothing to explain; one of two genera is explained by chance
// as well.
func (c *comparison) plateMoves(layouts []*layout) {
	plates := 0
	for _, l := range layouts {
		plates += len(l.plates)
	}
	for _, l := range layouts {
		for n := range l.plates {
			c.plateMove(l, n, plates)
		}
	}
}

func (c *comparison) plateMove(l *layout, number, plates int) {
	labels, trials, odd := c.trials(l, number)
	var best trial
	most := 0
	for _, t := range trials {
		if n := t.explained(labels); n > most {
			best, most = t, n
		}
	}
	if most < c.p.MinMoved || 2*most <= odd {
		return
	}
	if c.undone(l, number, best, labels) >= most {
		return
	}
	expected := float64(plates) * c.dealt(labels, trials, most)
	if expected > c.p.MaxExpected {
		return
	}
	c.tellMove(l, number, labels, best, odd, most, expected)
}

// trials gives the labels of a plate, all moves that bring a voucher to one of
// them, and the number of vouchers whose DNA contradicts their genus.
func (c *comparison) trials(l *layout, number int) (labels []int, trials []trial, odd int) {
	at := map[well]int{}
	for _, s := range l.slots {
		if s.at.plate == number {
			at[s.at] = len(labels)
			labels = append(labels, s.voucher)
		}
	}
	isOdd := map[int]bool{}
	for _, m := range l.moves(l.plates[number]) {
		t := trial{move: m}
		for _, s := range l.slots {
			v := s.voucher
			if s.at.plate != number || c.odd[v] != s.sample || c.settled[v] || !c.b.Fits(c.oddMatch(v), v).strays() {
				continue
			}
			isOdd[v] = true
			row, col := m.to(s.at)
			if k, ok := at[well{number, row, col}]; ok && labels[k] != v {
				t.pairs = append(t.pairs, pair{v, c.fits(c.oddMatch(v)), k})
			}
		}
		trials = append(trials, t)
	}
	return labels, trials, len(isOdd)
}

// explained counts the vouchers whose DNA fits the label that a move gives them.
func (t trial) explained(labels []int) int {
	n, last := 0, -1
	for _, x := range t.pairs {
		// The wells of one voucher stand together.
		if x.voucher != last && x.fits[labels[x.slot]].fits() {
			n++
			last = x.voucher
		}
	}
	return n
}

// undone counts the vouchers between the first and the last well that a move
// explains, down the columns or along the rows, whichever has fewer, whose label
// fits their DNA as it stands and that of the move does not. A plate that moved
// leaves hardly any right; a few exchanges that lie like a move leave most.
func (c *comparison) undone(l *layout, number int, t trial, labels []int) int {
	moved := map[int]bool{}
	for _, x := range t.pairs {
		if x.fits[labels[x.slot]].fits() {
			moved[x.voucher] = true
		}
	}
	at := map[well]int{}
	for _, s := range l.slots {
		at[s.at] = s.voucher
	}
	p := l.plates[number]
	count := func(place func(w well) int) int {
		first, last := p.rows*p.cols, -1
		for _, s := range l.slots {
			if s.at.plate == number && moved[s.voucher] {
				first, last = min(first, place(s.at)), max(last, place(s.at))
			}
		}
		n := 0
		for _, s := range l.slots {
			x := c.b.Vouchers[s.voucher].ChosenSample()
			if s.at.plate != number || place(s.at) < first || place(s.at) > last || x == nil || x.Match == nil || !c.own[s.voucher].fits() {
				continue
			}
			row, col := t.move.to(s.at)
			if other, ok := at[well{number, row, col}]; ok && c.fits(x.Match)[other].strays() {
				n++
			}
		}
		return n
	}
	return min(count(func(w well) int { return w.col*p.rows + w.row }), count(func(w well) int { return w.row*p.cols + w.col }))
}

// dealt gives the number of moves expected that explain at least n vouchers.
func (c *comparison) dealt(labels []int, trials []trial, n int) float64 {
	rng := rand.New(rand.NewPCG(1, uint64(len(labels))))
	dealt := append([]int(nil), labels...)
	hits := 0
	for range c.p.Dealings {
		rng.Shuffle(len(dealt), func(i, j int) { dealt[i], dealt[j] = dealt[j], dealt[i] })
		for _, t := range trials {
			if len(t.pairs) >= n && t.explained(dealt) >= n {
				hits++
			}
		}
	}
	return float64(hits+1) / float64(c.p.Dealings+1)
}

func (c *comparison) tellMove(l *layout, number int, labels []int, best trial, odd, most int, expected float64) {
	name := l.step
	if len(l.plates) > 1 {
		name = fmt.Sprintf("%s %d", name, number+1)
	}
	agree := 0
	for _, v := range labels {
		if c.own[v].fits() {
			agree++
		}
	}
	b := seqqc.Between{
		Pattern: seqqc.PatternPlateMoved, Flag: seqqc.PlateShift, Expected: expected,
		Evidence: []string{
			fmt.Sprintf("Of %s whose DNA contradicts the label (%s), the DNA of %d fits another's label if %s.",
				seqqc.Count(odd, "voucher"), name, most, best.move.says),
			fmt.Sprintf("As the labels stand, %d of %d there fit.", agree, len(labels)),
			fmt.Sprintf("If these labels were dealt out at random, about %s would explain as many (%d dealings counted).", about(expected, "move"), c.p.Dealings),
		},
		Reason:   fmt.Sprintf("The DNA fits the labels if %s (%s).", best.move.says, name),
		NextStep: "Ask who filled and read this plate how it stood, and rely on no row of it before that, nor on one that agrees.",
	}
	if !l.isPlate() {
		b.NextStep = "Hold the sheet against the labels of the specimens: a column may have slipped or been sorted alone. Rely on no row near before that."
	}
	var moved []int
	for _, x := range best.pairs {
		v, to := x.voucher, labels[x.slot]
		if c.settled[v] || !x.fits[to].fits() {
			continue
		}
		c.settled[v] = true
		moved = append(moved, v)
		c.note(v, seqqc.PatternPlateMoved, seqqc.PlateShift, true,
			fmt.Sprintf("Its DNA is of %s and fits the label of %s (%s), where it belongs if %s (%s), as with %d other vouchers.",
				dnaName(c.oddMatch(v)), c.code(to), c.label(to), best.move.says, name, most-1), b.NextStep)
	}
	c.tell(moved, b)
}
