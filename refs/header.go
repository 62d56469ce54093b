package refs

import (
	"regexp"
	"strings"
)

// ParseHeader reads a FASTA header line without its '>'.
//
//	NR_172802.1 Amanita vladimirii BRNM 825828 ITS region; from TYPE material
//	gi|817736093|ref|NR_131891.1| Cortinarius armillatus S F256861 ITS region
//	FC12 [organism=Russula emetica] [strain=X]     also [family=Russulaceae] and the other ranks
//	X1 k__Fungi;p__Basidiomycota;...;g__Russula;s__Russula_emetica
//	Russula_emetica|X1|refs|k__Fungi;p__...        the lineage anywhere, joined by ; | , _ or spaces
//	X1 Russula emetica
//	Russula_emetica_X1, X1_Russula_emetica         without a space: where the name is beyond doubt
//	Russula emetica FC12                           no id but the name: the words joined by '_'
//
// The id is the first word, or the accession in it where it is made of parts
// joined by '|'. The name comes from [organism=...], else from the species or
// genus of a lineage, else from the text; the lineage holds what the header
// itself says, cleaned with RankValue, and the name's own genus and species.
func ParseHeader(line string) (id string, n Name, l Lineage) {
	line = strings.TrimSpace(line)
	first, rest, _ := strings.Cut(line, " ")
	if i := strings.IndexByte(first, '\t'); i >= 0 {
		first, rest = line[:i], line[i+1:]
	}
	l, species, before := rankPrefixed(line)
	text := strings.TrimSpace(rest)
	if before >= 0 { // the lineage is a part of neither id nor text
		text = strings.TrimRight(line[min(len(first), before):before], " ;|,_([")
		if before < len(first) && strings.Trim(first[:before], ";|,_") != "" {
			first = strings.TrimRight(first[:before], ";|,_")
		}
	}
	id, named := headerID(first)
	organism, text := bracketed(text, &l)

	switch {
	case organism != "":
		n = ParseName(organism)
	case species != "" && (l.Genus != "" || ParseName(species).Genus != ""):
		n = speciesOfLineage(species, l.Genus)
	case l.Genus != "":
		n = Name{Verbatim: l.Genus, Genus: l.Genus, Rank: Genus, Doubt: DoubtSp}
	default:
		n = textName(text)
		if n.Genus == "" && !n.Unnamed && text == "" {
			n = nameInID(named)
		}
		if n.Genus == "" && n.Higher == "" && isBuiltinGenus(titleCase(strings.ToLower(first))) {
			// ">Russula emetica FC12": there is no id but the name.
			if m := ParseName(line); m.Genus != "" || m.Several != "" {
				n, id = m, strings.Join(strings.Fields(line), "_")
			}
		}
		if deepest := l.Deepest(); n.Genus == "" && deepest != NoRank && (n.Rank == NoRank || n.Rank < deepest) {
			n = Name{Verbatim: n.Verbatim, Higher: l.At(deepest), Rank: deepest, Unnamed: deepest == Kingdom}
		}
	}
	return id, n, nameInLineage(n, l)
}

// nameInLineage puts the genus and the certain species of a name, or its
// higher taxon, into the lineage of a header. A lineage that disagrees with
// the name at genus gives way from there down; a name of several genera leaves
// it none.
func nameInLineage(n Name, l Lineage) Lineage {
	switch {
	case n.Genus != "":
		if l.Genus != "" && l.Genus != n.Genus {
			l = Lineage{} // of another genus
		}
		l.Genus, l.Species = n.Genus, ""
		if n.CertainSpecies() {
			l.Species = n.Binomial()
		}
	case n.Several != "":
		l.Genus, l.Species = "", ""
	case n.Higher != "" && n.Rank != NoRank && l.At(n.Rank) == "":
		l.Set(n.Rank, n.Higher)
	}
	return l
}

// speciesOfLineage reads the species value of a lineage, a binomial or a bare
// epithet.
func speciesOfLineage(species, genus string) Name {
	n := ParseName(species)
	if n.Genus == "" && genus != "" {
		n = ParseName(genus + " " + species)
		n.Verbatim = species
	}
	if n.Genus == "" {
		return Name{Verbatim: species, Genus: genus, Rank: Genus, Doubt: DoubtSp}
	}
	if genus != "" && n.Genus != genus {
		// The genus column of a lineage is the one that was kept up to date.
		n.Genus = genus
	}
	return n
}

// remarkPrefix are the remarks that archives put before the organism.
var remarkPrefix = regexp.MustCompile(`^(UNVERIFIED(_ORG|_ASMBLY)?|TPA(_asm|_exp|_inf)?|PREDICTED|TSA|MAG):\s*`)

// textName reads the text after the id.
func textName(text string) Name {
	for {
		cut := remarkPrefix.ReplaceAllString(text, "")
		if cut == text {
			break
		}
		text = cut
	}
	if text == "" {
		return Name{}
	}
	n := ParseName(text)
	// The text goes on about the sequence; only its beginning is the name.
	if i := strings.IndexByte(n.Verbatim, ';'); i >= 0 {
		n.Verbatim = strings.TrimSpace(n.Verbatim[:i])
	}
	return n
}

var (
	// accessionForm is the form of INSDC and RefSeq accession numbers (one to
	// six letters, RefSeq with an underscore, five or more digits, a version;
	// NCBI's published list of prefixes) and of the codes of public ITS sets.
	accessionForm = regexp.MustCompile(`^(?:[A-Z]{1,6}\d{5,}|[A-Z]{2}_\d{6,}|UDB\d{5,})(?:\.\d+)?$`)
	digits        = regexp.MustCompile(`^\d+$`)
)

// headerID takes the id out of the first word of a header; rest is what else
// the word holds and may be a name.
func headerID(word string) (id, rest string) {
	if !strings.Contains(word, "|") {
		return strings.TrimRight(word, ",;"), word
	}
	for part := range strings.SplitSeq(word, "|") {
		switch {
		case accessionForm.MatchString(part):
			return part, strings.ReplaceAll(word, part, "")
		case id == "" && part != "" && part != "gi" && part != "lcl":
			id = part
		}
		if digits.MatchString(id) && part != id && part != "" && !databaseTags[part] {
			id = part // a bare number is the weakest name
		}
	}
	if id == "" {
		return word, ""
	}
	return id, strings.SplitN(word, "|", 2)[0]
}

// databaseTags are the two- and three-letter words between '|' that name a
// databank.
var databaseTags = wordSet(`gi ref gb emb dbj tpg tpe tpd lcl gnl pir prf sp tr pdb`)

// nameInID reads a name out of an id without spaces, such as
// Russula_emetica_FC12 or FC12_Russula_emetica. A code with letters must not
// pass for a name, so the genus must be one of the built-in table, or the name
// a whole binomial.
func nameInID(id string) Name {
	words := strings.FieldsFunc(id, func(c rune) bool { return c == '_' || c == '|' })
	for i := range min(len(words), 3) {
		n := ParseName(strings.Join(words[i:], " "))
		switch {
		case n.Genus != "" && (isBuiltinGenus(n.Genus) || n.Epithet != "" && latinEnding(strings.ToLower(n.Genus), true) && latinEnding(n.Epithet, true)):
			return n
		case n.Several != "":
			return n
		case i == 0 && len(words) > 1 && n.Higher != "": // "Uncultured_fungus_12"; "Sample_one" is a code
			return n
		}
	}
	return Name{}
}

var bracketPair = regexp.MustCompile(`\[\s*([A-Za-z][\w -]*?)\s*=\s*([^\[\]]*)\]`)

// bracketed takes [key=value] pairs out of text: the organism is returned,
// ranks go into l, the others are left out.
func bracketed(text string, l *Lineage) (organism, rest string) {
	if !strings.Contains(text, "=") {
		return "", text
	}
	var ranks Lineage
	for _, m := range bracketPair.FindAllStringSubmatch(text, -1) {
		key, value := strings.ToLower(m[1]), strings.TrimSpace(m[2])
		if key == "organism" && organism == "" {
			organism = value
			continue
		}
		if r, ok := ParseRank(key); ok {
			ranks.Set(r, value)
		}
	}
	for _, r := range Ranks {
		if v := RankValue(r, ranks.At(r), ranks.Genus); v != "" {
			l.Set(r, v)
		}
	}
	if organism == "" {
		organism = l.Species
		if ranks.Species == "" {
			organism = ""
		}
	}
	return organism, strings.TrimSpace(bracketPair.ReplaceAllString(text, " "))
}
