package region

// fromYeast marks motifs read off the genes of Saccharomyces cerevisiae as
// remembered (the SSU so remembered has its 1,800 bases), at places that are
// alike in most eukaryotes.
const fromYeast = "from memory, genes of Saccharomyces cerevisiae"

// deepMotifs lie in the SSU and the LSU beyond the ends of a usual amplicon of
// the ITS. They are asked only where no 5.8S is found, and tell a piece of one
// of these genes from DNA of which nothing is known. Places in the first 900
// bases of the LSU were checked on published sequences of mushrooms.
var deepMotifs = []motif{
	{ssu, "SSU 89", "CGAATGGCTCATTAAATCAGTTAT", -1711, 400, fromYeast},
	{ssu, "SSU 151", "TGGTAATTCTAGAGCTAATACATGC", -1649, 400, fromYeast},
	{ssu, "SSU 372", "GTTCGATTCCGGAGAGGGAGCCTGAGAAACGG", -1428, 300, fromYeast},
	{ssu, "SSU 404", "CTACCACATCCAAGGAAGGCAGCAGGC", -1396, 300, fromYeast},
	{ssu, "SSU 574", "CGGTAATTCCAGCTCCAATAGCG", -1226, 300, fromYeast},
	{ssu, "SSU 609", "GTTGCAGTTAAAAAGCTCGTAGTTG", -1191, 300, fromYeast},
	{ssu, "SSU 793", "TTAGCATGGAATAATRRAATAGGA", -1007, 250, fromYeast},
	{ssu, "SSU 896", "CAGAGGTGAAATTCTTGGATT", -904, 250, fromYeast},
	{ssu, "SSU 933", "CTGCGAAAGCATTTGCCAAGGA", -867, 250, fromYeast},
	{ssu, "SSU 993", "GATGATCAGATACCGTCGTAGTCT", -807, 200, fromYeast},
	{ssu, "SSU 1021", "CATAAACTATGCCGACTAGGGATCGG", -779, 200, fromYeast},
	{ssu, "SSU 1168", "GGAGCCTGCGGCTTAATTTGACTCAACACGGGGAAACTCACCAGG", -632, 200, fromYeast},
	{ssu, "SSU 1269", "GGTGCATGGCCGTTCTTAGTTGGTGGAGTG", -531, 150, fromYeast},
	{ssu, "SSU 1307", "GCTTAATTGCGATAACGAACGAGACC", -493, 150, fromYeast},
	{ssu, "SSU 1439", "CCTTAGAYGTTCTGGGCCGCACGCGCGCTACACTGA", -361, 100, fromYeast},
	{ssu, "SSU 1537", "TGGGGATAGRGCATTGYAATTATTGCTC", -263, 80, fromYeast},
	{ssu, "SSU 1567", "CAACGAGGAATTCCTAGTAAGCGCAAGTCATCAGCTTGCG", -233, 60, fromYeast},
	{ssu, "SSU 1609", "GATTACGTCCCTGCCCTTTGTACACACCGCCCGTCGC", -191, 50, fromYeast},
	{ssu, "SSU 1650", "ACCGATTGAATGGCTTAGTGAG", -150, 40, fromYeast},

	{lsu, "LSU 105", "AAGCTCAAATTTRAAATCTGG", 105, 15, fromYeast},
	{lsu, "LSU 205", "CATAGAGGGTGAGAATCCCGT", 205, 50, fromYeast},
	{lsu, "LSU 264", "GAGTCGRGTTGTTTGGGAATGCAGC", 264, 60, fromYeast},
	{lsu, "LSU 298", "GTGGTAAATTCCATCTAAAGCTAAATA", 298, 60, fromYeast},
	{lsu, "LSU 365", "GATGAAAAGMACTTTGRAAAGAGAGT", 365, 60, fromYeast},
	{lsu, "LSU 396", "AGTACGTGAAATTGTTGAAAGGGAA", 396, 60, fromYeast},
	{lsu, "LSU 649", "GACCAAGGAGTCTAACRTCTATGCGAGT", 649, 100, fromYeast},
	{lsu, "LSU 696", "ACGCGYAATGAAAGTGAACGTAGG", 696, 100, fromYeast},
	{lsu, "LSU 782", "GAGCATASCTGTTGGGACCCGAAAGATGGTGAACTATGC", 782, 120, fromYeast},
	{lsu, "LSU 866", "GGTTCTGACGTGCAAATCGATCGTC", 866, 130, fromYeast},
	{lsu, "LSU 904", "GGGGCGAAAGACTAATCGAACC", 904, 140, fromYeast},
}
