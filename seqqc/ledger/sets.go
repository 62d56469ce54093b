package ledger

// sets are disjoint sets of 0 to n-1 (Tarjan 1975, Journal of the ACM 22:
// 215-225).
type sets struct{ parent []int }

func newSets(n int) *sets {
	s := &sets{make([]int, n)}
	for i := range s.parent {
		s.parent[i] = i
	}
	return s
}

func (s *sets) find(x int) int {
	for s.parent[x] != x {
		s.parent[x] = s.parent[s.parent[x]]
		x = s.parent[x]
	}
	return x
}

func (s *sets) join(x, y int) { s.parent[s.find(x)] = s.find(y) }

// all gives the sets, each in ascending order, in the order of their least.
func (s *sets) all() [][]int {
	byRoot := map[int]int{}
	var out [][]int
	for x := range s.parent {
		root := s.find(x)
		i, ok := byRoot[root]
		if !ok {
			i = len(out)
			byRoot[root] = i
			out = append(out, nil)
		}
		out[i] = append(out[i], x)
	}
	return out
}
