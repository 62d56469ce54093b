package refs

import "strings"

// rankLetters are the letters of rank prefixes such as "g__".
var rankLetters = map[byte]Rank{
	'k': Kingdom, 'd': Kingdom, 'p': Phylum, 'c': Class, 'o': Order, 'f': Family, 'g': Genus, 's': Species,
}

// rankMark is a rank prefix at [at, end) of a line; rank is NoRank for
// prefixes of two letters and others that are not ours, which only end the
// value before them.
type rankMark struct {
	at, end int
	rank    Rank
}

// rankMarks finds the rank prefixes of a line: a letter and two underscores,
// after the beginning of the line or a character that is no letter or digit.
func rankMarks(line string) []rankMark {
	var marks []rankMark
	for i := 0; i+2 < len(line); i++ {
		if line[i+1] != '_' || line[i+2] != '_' || !isAlnum(line[i]) {
			continue
		}
		start := i
		for start > 0 && isAlnum(line[start-1]) {
			start--
		}
		switch i - start {
		case 0:
			if r, ok := rankLetters[line[i]|0x20]; ok {
				marks = append(marks, rankMark{start, i + 3, r})
			}
		case 1:
			marks = append(marks, rankMark{start, i + 3, NoRank})
		}
		i += 2
	}
	return marks
}

func isAlnum(c byte) bool {
	return c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z'
}

// rankPrefixed reads a lineage written with rank prefixes. species is the raw
// species value; before is where the lineage begins, -1 where there is none.
// One lone prefix counts only for genus and species: text such as "f__" turns
// up in codes.
func rankPrefixed(line string) (l Lineage, species string, before int) {
	marks := rankMarks(line)
	before = -1
	count := 0
	var raw Lineage
	for i, m := range marks {
		if m.rank == NoRank {
			continue
		}
		end := len(line)
		if i+1 < len(marks) {
			end = marks[i+1].at
		}
		value := line[m.end:end]
		if j := strings.IndexAny(value, ";|,\t)]"); j >= 0 {
			value = value[:j]
		}
		if j := strings.IndexByte(value, ' '); j >= 0 && m.rank != Species {
			value = value[:j]
		}
		value = strings.Trim(value, " _\"'")
		if before < 0 {
			before = m.at
		}
		count++
		if old := raw.At(m.rank); old == "" || m.rank == Kingdom && kingdomNames[strings.ToLower(old)] == "" {
			raw.Set(m.rank, value)
		}
	}
	if count == 0 || count == 1 && raw.Genus == "" && raw.Species == "" {
		return Lineage{}, "", -1
	}
	if raw.Kingdom != "" && kingdomNames[strings.ToLower(raw.Kingdom)] == "" {
		raw.Kingdom = "" // "Eukaryota" is a domain, and tells us nothing here
	}
	for _, r := range Ranks {
		if r != Species {
			l.Set(r, RankValue(r, raw.At(r), ""))
		}
	}
	return l, strings.ReplaceAll(raw.Species, "_", " "), before
}
