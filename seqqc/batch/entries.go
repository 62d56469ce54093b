package batch

import "slices"

// Sources that settings share.
const (
	own      = "the project's own choice"
	practice = "common practice, no source"
	vu2019   = "Vu et al. 2019, Studies in Mycology 92: 135-154, DOI 10.1016/j.simyco.2018.05.001, measured there with another definition of similarity"
	memory   = vu2019 + "; value from memory"
)

// Entries lists the settings of s, bound to it. A new setting is one more
// entry: flag, settings file and report follow.
func (s *Settings) Entries() []*Entry {
	t, c, a, m, v, x := &s.Trim, &s.Contig, &s.Alleles, &s.Match, &s.Verdict, &s.Cross
	return slices.Concat(
		staged("trim",
			number("trim-limit", &t.Limit, 0.0001, 0.75,
				"error probability at which a base is as well kept as cut",
				"calibrated on simulated and real reads"),
			count("min-read", &t.MinBases, 1, 5000,
				"least kept bases of a usable read",
				own+": of less a read says nothing alone and little beside a partner"),
			number("max-read-errors", &t.MaxErrorRate, 0.0001, 0.75,
				"largest predicted error rate of a usable read",
				own+": half of what the genus threshold leaves for differences"),
		),
		staged("contig",
			count("min-overlap", &c.MinOverlap, 1, 5000,
				"least columns of an overlap that joins two reads", practice),
			number("max-difference", &c.MaxDifference, 0.0001, 0.75,
				"largest share of columns in which the reads of one sample may differ beyond what their qualities explain", practice),
			number("split-below", &c.SplitBelow, 0.5, 0.9999,
				"posterior probability below which a base with a rival becomes an ambiguity code", practice),
		),
		staged("alleles",
			number("min-minor", &a.MinMinorPct, 0, 50,
				"least share of a second template that is told, in percent of the signal",
				"calibrated on simulated and real reads"),
			number("min-site", &a.MinSitePct, 0, 50,
				"least part of the lower one of two peaks at a single variable base, in percent", practice),
		),
		staged("match",
			count("top", &m.Hits, 1, 100_000,
				"hits listed for a sequence, with the ties of the last; a run lists all of its voting window as well", own),
			number("list-from", &m.ListFrom, 0, 100,
				"percent identity below which no hit is listed or looked for, unless a rank can be supported there",
				own+": unrelated ITS come as near as 77 % in an invented library of 50,000"),
			number("min-coverage", &m.Gate.MinCoveragePct, 0, 100,
				"percent of the contig's ITS that a hit must compare, unless it compares a whole spacer", own),
			count("min-columns", &m.Gate.MinOutside, 0, 100_000,
				"columns outside the 5.8S that a hit must compare",
				own+": a bare 5.8S is shared across families"),
			number("species-identity", &m.Thresholds.Species, 0, 100,
				"percent identity at which a species can be supported", vu2019),
			number("genus-identity", &m.Thresholds.Genus, 0, 100,
				"percent identity at which a genus can be supported", vu2019),
			number("family-identity", &m.Thresholds.Family, 0, 100,
				"percent identity at which a family can be supported", memory),
			number("order-identity", &m.Thresholds.Order, 0, 100,
				"percent identity at which an order can be supported", memory),
			number("class-identity", &m.Thresholds.Class, 0, 100,
				"percent identity at which a class or a broader rank can be supported", memory+"; none was measured for broader ranks"),
			number("window-min", &m.WindowMin, 0, 100,
				"least width of the voting window below the best hit, in points of identity", own),
			number("window-share", &m.WindowShare, 0, 1,
				"width of the voting window as a share of the best hit's distance from 100", own),
			number("min-share", &m.MinSharePct, 50, 100,
				"percent of the votes that must agree for a rank to be supported", own),
		),
		staged("verdict",
			count("min-bases", &v.MinBases, 1, 100_000,
				"least clear bases in the stretch to compare", "the columns that a hit needs outside the 5.8S: a shorter sequence could support no rank"),
			count("short-bases", &v.ShortBases, 1, 100_000,
				"clear bases below which a sequence is flagged as short",
				"one different base in 250 is 0.4 %: in anything shorter a single difference decides the species"),
			number("max-errors", &v.MaxErrorPct, 0, 100,
				"largest percentage of bases that may be predicted wrong in a usable sequence",
				"half of the 5.7 points between a genus and an identical sequence"),
			number("doubt-errors", &v.LowQualityErrorPct, 0, 100,
				"percentage of predicted wrong bases above which a sequence is flagged low_quality",
				"one error in 100 bases is Phred quality 20, the customary limit of a good base; "+practice),
			number("max-ambiguous", &v.MaxAmbiguousPct, 0, 100,
				"largest percentage of ambiguity codes in a usable sequence",
				"100 less the genus threshold: with more, the strict identity could reach no genus"),
			count("blank-bases", &v.BlankBases, 1, 100_000,
				"kept bases of a read that a blank control may give and pass",
				"two primers joined end to end make about 50 bases at most; "+practice),
			number("sample-identity", &v.MinSampleIdentityPct, 0, 100,
				"percent identity that the samples of one voucher must have with one another", practice),
			number("stands-alone", &v.StandsAlonePct, 0, 100,
				"percent identity at which a conflict stands although the library has nothing of the field genus", practice),
			number("species-open", &v.SpeciesOpenPct, 0, 100,
				"percent identity from which a species is near but not settled",
				practice+"; no single limit fits all fungi (Nilsson et al. 2008, Evolutionary Bioinformatics 4: 193-201)"),
			number("species-gap", &v.SpeciesGapPct, 0, 100,
				"points of identity by which the field species may lie below another, supported species before it is told", own),
			count("spread-records", &m.Spread, 0, 1000,
				"records of a genus compared to learn how far it spreads in the library (0: not measured); changes no verdict", own),
		),
		staged("cross",
			number("max-chance", &x.MaxExpected, 0, 1,
				"patterns as good that chance would give in the batch up to which one between vouchers counts as found",
				own+", measured on invented batches: see package cross"),
			count("min-moved", &x.MinMoved, 3, 1536,
				"least vouchers that a shift or turn of a plate must explain", own),
		),
	)
}

// Threads is the number of items worked on at once. It changes no result, and
// so it is a flag and no setting.
func Threads(v *int) *Entry {
	return count("threads", v, 1, 1024, "threads to work on (default one a processor)", own)
}

// staged marks entries with the stage they belong to.
func staged(stage string, entries ...*Entry) []*Entry {
	for _, e := range entries {
		e.Stage = stage
	}
	return entries
}
