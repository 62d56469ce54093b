package main

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"forayseq/refs/phylogeny"
)

// ofKind picks from a list by query those of a kind. The list may end early.
func (f *figures) ofKind(list []float64, k phylogeny.Kind) (out []float64) {
	for i, v := range list {
		if f.queries[i].Kind == k {
			out = append(out, v)
		}
	}
	return out
}

// seconds writes a time with its unit.
func seconds(s float64) string {
	switch {
	case s <= 0:
		return "-"
	case s < 0.001:
		return fmt.Sprintf("%.0f us", s*1e6)
	case s < 1:
		return figure(s*1e3) + " ms"
	}
	return figure(s) + " s"
}

// figure writes a number with two digits at least, three where they are known.
func figure(v float64) string {
	switch {
	case v < 10:
		return fmt.Sprintf("%.2f", v)
	case v < 100:
		return fmt.Sprintf("%.1f", v)
	}
	return fmt.Sprintf("%.0f", v)
}

func megabytes(n int64) string { return fmt.Sprintf("%.0f MiB", float64(n)/(1<<20)) }

// write writes the table of one library: median and maximum by kind.
func (f *figures) write(out *strings.Builder) {
	fmt.Fprintf(out, "\n%d references; median and greatest processor time of %d queries a kind, both strands, the ten best (~ from a part)\n",
		f.size, len(f.queries)/len(phylogeny.Kinds))
	slices.SortStableFunc(f.columns, func(a, b column) int {
		return cmp.Compare(slices.Index(shown, a.name), slices.Index(shown, b.name))
	})
	header := []string{"query"}
	for _, c := range f.columns {
		name := c.name
		if c.estimated {
			name = "~ " + name
		}
		header = append(header, name)
	}
	var rows [][]string
	for _, k := range phylogeny.Kinds {
		row := []string{k.String()}
		for _, c := range f.columns {
			times := f.ofKind(c.seconds, k)
			if len(times) == 0 {
				row = append(row, "-")
				continue
			}
			row = append(row, seconds(median(times))+" / "+seconds(slices.Max(times)))
		}
		rows = append(rows, row)
	}
	writeTable(out, header, rows)
	if f.scan != nil {
		total := 0.0
		for _, s := range f.scan.Queries {
			total += s
		}
		fmt.Fprintf(out, "distances: %.0f billion cells a second with %s", f.scan.Cells/total/1e9, f.scan.Kernel)
		for _, s := range f.slower {
			slow := 0.0
			for _, v := range s.scan {
				slow += v
			}
			if slow > 0 {
				fmt.Fprintf(out, ", ~%.0f with %s", f.scan.Cells/slow/1e9, s.kernel)
			}
		}
		fmt.Fprintln(out)
	}
	if f.search == nil {
		return
	}
	fmt.Fprintf(out, "plate: %d queries of all kinds on 2 threads in %s", len(f.queries), seconds(f.search.Plate))
	for _, s := range f.slower {
		fmt.Fprintf(out, ", with %s in %s", s.kernel, seconds(s.plate))
	}
	fmt.Fprintln(out)
	fmt.Fprintf(out, "index: FASTA read in %s, index of %d different sequences made and written in %s, %s; opened in %s, the first query after that %s\n",
		seconds(f.index.Read), f.index.Unique, seconds(f.index.Build), megabytes(f.index.Bytes), seconds(f.search.Open), seconds(f.search.First))
	fmt.Fprintf(out, "memory: %s to read and index, %s to search\n", megabytes(f.index.Peak), megabytes(f.search.Peak))
	if f.checked > 0 {
		fmt.Fprintf(out, "checked: %d queries give the same by the search and by aligning every reference\n", f.checked)
	}
}

// writeMeasures compares what was measured with what is aimed at.
func writeMeasures(out *strings.Builder, all map[int]*figures, kernel string) {
	fmt.Fprintln(out, "\nMeasures. Edlib answers another, easier question than the search: the whole query, edits only.")
	for _, n := range slices.Sorted(maps.Keys(all)) {
		f := all[n]
		f.atLeast(out, "search against edlib with the right bound, queries within 3 %", byEdlibNear, bySearch, 60, phylogeny.Same, phylogeny.Apart3)
		f.atLeast(out, "search against edlib with the right bound, 10 to 20 % and genus absent", byEdlibNear, bySearch, 25, phylogeny.Apart10, phylogeny.Apart20, phylogeny.NoGenus)
		f.atLeast(out, "search against biogo", byBiogo, bySearch, 5000, phylogeny.Kinds...)
		targets := map[string]float64{"avx512-vbmi2": 8, "avx512": 8, "avx2": 3, "go": 0.7}
		f.atLeast(out, "distances with "+kernel+" against edlib without a bound", byEdlib, byScan, targets[kernel], phylogeny.Kinds...)
		for _, s := range f.slower {
			if len(s.scan) > 0 {
				f.columns = append(f.columns, column{s.kernel, s.scan, true})
				f.atLeast(out, "distances with "+s.kernel+" against edlib without a bound", byEdlib, s.kernel, targets[s.kernel], phylogeny.Kinds...)
			}
			if s.kernel == "go" {
				ratio := s.plateTime / f.search.PlateTime
				f.line(out, fmt.Sprintf("plate without assembly: %.1f times as long as with %s", ratio, kernel), "at most 6", ratio <= 6)
			}
		}
		if limit := memorySizes[n]; limit > 0 && f.search != nil && f.search.Peak > 0 {
			f.line(out, "memory to search: "+megabytes(f.search.Peak), "less than "+megabytes(limit), f.search.Peak < limit)
			f.line(out, "memory to read and index: "+megabytes(f.index.Peak), "less than "+megabytes(limit), f.index.Peak < limit)
		}
		if f.search != nil {
			one := median(f.search.Queries)
			f.line(out, fmt.Sprintf("the index is opened in %s", seconds(f.search.Open)), "less than one query, "+seconds(one), f.search.Open < one)
		}
	}
}

// atLeast writes the least ratio, over the kinds, of the medians of two columns.
func (f *figures) atLeast(out *strings.Builder, what, slow, fast string, target float64, kinds ...phylogeny.Kind) {
	if f.column(slow) == nil || f.column(fast) == nil {
		return
	}
	var worst float64
	var at phylogeny.Kind
	for i, k := range kinds {
		ratio := median(f.ofKind(f.column(slow), k)) / median(f.ofKind(f.column(fast), k))
		if i == 0 || ratio < worst {
			worst, at = ratio, k
		}
	}
	f.line(out, fmt.Sprintf("%s: %.3g times as fast (least: %v)", what, worst, at), fmt.Sprintf("at least %g", target), worst >= target)
}

func (f *figures) line(out *strings.Builder, what, target string, reached bool) {
	verdict := "reached"
	if !reached {
		verdict = "not reached"
	}
	fmt.Fprintf(out, "%8d  %s; aimed at %s: %s\n", f.size, what, target, verdict)
}

// writeTable writes columns, the first flush left.
func writeTable(out *strings.Builder, header []string, rows [][]string) {
	width := make([]int, len(header))
	all := append([][]string{header}, rows...)
	for _, row := range all {
		for i, cell := range row {
			width[i] = max(width[i], len(cell))
		}
	}
	for _, row := range all {
		var line strings.Builder
		for i, cell := range row {
			if i == 0 {
				fmt.Fprintf(&line, "%-*s", width[0], cell)
			} else {
				fmt.Fprintf(&line, "  %*s", width[i], cell)
			}
		}
		fmt.Fprintln(out, strings.TrimRight(line.String(), " "))
	}
}
