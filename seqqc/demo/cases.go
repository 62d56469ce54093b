package demo

import (
	"slices"

	"forayseq/seqqc"
)

// foreignVoucher is the code of a read that belongs to no row of the sheet.
const foreignVoucher = "QM-999"

// vouchers are the rows of the sheet, in its order.
func vouchers() []voucher {
	specimen := func(code, field string, t truth, reads ...read) voucher {
		return voucher{code: code, field: field, kind: seqqc.Specimen, reads: reads, truth: t}
	}
	return []voucher{
		specimen("QM-101", "Russula synprima",
			agrees("species", "two good reads of the species on the label"),
			both("QM-101", of("Russula synprima"))...),
		specimen("QM-102", "Lactarius sp.",
			agrees("genus", "label with the genus alone; a species of it"),
			both("QM-102", of("Lactarius synsecunda"))...),
		specimen("QM-103", "Boletaceae",
			truth{verdict: seqqc.Refines, builtIn: "label with the family alone; a species of it"},
			both("QM-103", of("Boletus synprima"))...),
		specimen("QM-104", "Leccinum cf. synprima",
			truth{verdict: seqqc.Consistent, builtIn: "a lineage of the Boletaceae that is of no genus of the library"},
			both("QM-104", besideFamily("Leccinum", 0.05))...),
		specimen("QM-105", "Mycena sp.",
			truth{verdict: seqqc.Consistent, flags: []seqqc.Flag{seqqc.NearestIsFieldGenus},
				builtIn: "a lineage near the genus Mycena, further from each of its species than the genus threshold"},
			both("QM-105", besideGenus("Mycena", 0.075))...),
		specimen("QM-106", "Russula sp.",
			parts(seqqc.Conflict, "genus", "label says Russula, the DNA is of Lactarius"),
			both("QM-106", of("Lactarius synprima"))...),
		specimen("QM-107", "Amanita synquarta",
			parts(seqqc.Conflict, "family", "label says Amanita, the DNA is of Agaricus"),
			both("QM-107", of("Agaricus synsecunda"))...),
		specimen("QM-108", "Hygrocybe synsecunda",
			parts(seqqc.Overgrowth, "phylum", "an old fruit body that Penicillium had grown over"),
			both("QM-108", of("Penicillium synprima"))...),
		specimen("QM-109", "Inocybe sp.",
			parts(seqqc.NonFungal, "kingdom", "a birch root came along with the specimen"),
			both("QM-109", of("Betula synprima"))...),
		specimen("QM-110", "Cortinarius sp.",
			undetermined(seqqc.NoSequence, "the laboratory sent no read")),
		specimen("QM-111", "Galerina sp.",
			undetermined(seqqc.PoorSequence, "forward read failed, reverse read broke off after 165 bases"),
			forward("QM-111", of("Galerina synprima"), dead()),
			backward("QM-111", of("Galerina synprima"), upTo(good(), 165))),
		specimen("QM-112", "Amanita sp.",
			agrees("genus", "the first extraction failed, the second is good"),
			slices.Concat(
				inSample("1", []read{
					forward("QM-112", of("Amanita synsecunda"), dead()), backward("QM-112", of("Amanita synsecunda"), dead())}),
				inSample("2", both("QM-112", of("Amanita synsecunda"))))...),
		specimen("QM-113", "Suillus synprima",
			agrees("species", "the reverse read failed", seqqc.OneStrandOnly),
			forward("QM-113", of("Suillus synprima"), good()),
			backward("QM-113", of("Suillus synprima"), dead())),
		specimen("QM-114", "Hebeloma sp.",
			agrees("genus", "its reverse read has changed places with that of QM-115", seqqc.OneStrandOnly, seqqc.StrandsDisagree),
			forward("QM-114", of("Hebeloma synprima"), good()),
			backward("QM-114", of("Stereum synprima"), fair())),
		specimen("QM-115", "Stereum sp.",
			agrees("genus", "its reverse read has changed places with that of QM-114", seqqc.OneStrandOnly, seqqc.StrandsDisagree),
			forward("QM-115", of("Stereum synprima"), good()),
			backward("QM-115", of("Hebeloma synprima"), fair())),
		specimen("QM-116", "Auricularia sp.",
			agrees("genus", "the file names of the two reads have changed places", seqqc.ReverseComplemented),
			swapNames(both("QM-116", of("Auricularia synsecunda")))...),
		specimen("QM-117", "Cantharellus sp.",
			agrees("genus", "an ITS of some 1,500 bases: the reads do not meet", seqqc.TwoPart, seqqc.RegionIncomplete),
			forward("QM-117", of("Cantharellus synprima"), upTo(good(), 760)),
			backward("QM-117", of("Cantharellus synprima"), upTo(fair(), 760))),
		specimen("QM-118", "Amanita syntertia",
			agrees("genus", "another species of the genus than the label says", seqqc.SpeciesDiffers),
			both("QM-118", of("Amanita synprima"))...),
		specimen("QM-119", "Trametes sp.",
			agrees("genus", "a quarter of the DNA is of Penicillium", seqqc.MixedTemplate),
			both("QM-119", mixed(of("Trametes synprima"), withWeight(of("Penicillium synsecunda"), 0.33)))...),
		specimen("QM-120", "Agaricus synprima",
			agrees("species", "two alleles, one with three bases less in ITS1: double peaks behind it in both reads",
				seqqc.IndelHeterozygote, seqqc.OneStrandOnly, seqqc.RegionIncomplete),
			both("QM-120", mixed(of("Agaricus synprima"), secondAllele("Agaricus synprima", 0.6)))...),
		specimen("QM-121", "Ramaria sp.",
			undetermined(seqqc.TooDistant, "an order of which the library holds nothing"),
			both("QM-121", of("Ramaria synprima"))...),
		specimen("QM-122", "Laccaria sp.",
			undetermined(seqqc.NoMatch, "a single short read that holds too little besides the 5.8S", seqqc.OneStrandOnly, seqqc.RegionIncomplete, seqqc.Short),
			forward("QM-122", of("Laccaria synprima"), upTo(good(), 250))),
		specimen("QM-123", "Tricholoma sp.",
			undetermined(seqqc.ReferencesDisagree, "half of the nearest references bear the name of another genus", seqqc.ReferenceDoubtful, seqqc.SpeciesComplex),
			both("QM-123", of("Tricholoma synprima"))...),
		specimen("QM-124", "Entoloma sp.",
			undetermined(seqqc.ReferencesUnnamed, "the nearest references bear no name", seqqc.NearestIsUnnamed),
			both("QM-124", of(unnamedClade))...),
		specimen("QM-125", "Agaricaceae",
			undetermined(seqqc.LineageUnknown, "the nearest references are of a genus (invented) without a lineage"),
			both("QM-125", of(placeless))...),
		specimen("QM-126", "Lactifluus sp.",
			truth{verdict: seqqc.Undetermined, reason: seqqc.FieldGenusNotInLibrary, partsAt: "genus",
				builtIn: "a lineage of the Russulaceae nearest to Russula; the library holds no Lactifluus"},
			both("QM-126", besideGenus("Russula", 0.045))...),
		specimen("QM-127", "",
			undetermined(seqqc.NoFieldName, "no name on the label", seqqc.OneStrandOnly),
			forward("QM-127", of("Stereum synsecunda"), good())),
		specimen("QM-128", "Grumbleshroom",
			undetermined(seqqc.FieldNameUnknown, "a name on the label that nobody knows", seqqc.OneStrandOnly),
			forward("QM-128", of("Mycena synprima"), good())),
		specimen("QM-129", "Psathyrella sp.",
			parts(seqqc.Conflict, "family", "label says Psathyrella, of which the library holds nothing; the DNA is of Agaricus", seqqc.FieldGenusAbsent),
			both("QM-129", of("Agaricus synprima"))...),
		specimen("QM-130", "Lactarius synprima",
			undetermined(seqqc.NotITS, "the large subunit was sequenced instead of the ITS", seqqc.OneStrandOnly),
			read{label: "QM-130", says: "LR0R", tube: of("Lactarius synprima"), forward: "LR0R", reverse: "LR5", from: seqqc.Forward, params: good()}),
		specimen("QM-131", "Suillus sp.",
			undetermined(seqqc.SamplesDisagree, "two extractions hold different genera"),
			slices.Concat(inSample("1", both("QM-131", of("Suillus synsecunda"))), inSample("2", both("QM-131", of("Boletus synsecunda"))))...),
		specimen("QM-132", "Corttinarius sp.",
			agrees("genus", "a slip of the pen on the label", seqqc.SpellingAssumed),
			both("QM-132", of("Cortinarius synsecunda"))...),
		specimen("QM-133", "Fuligo sp.",
			agrees("genus", "a slime mould, labelled as one"),
			both("QM-133", of("Fuligo synprima"))...),
		specimen("QM-134", "Hypomyces sp.",
			parts(seqqc.Conflict, "phylum", "a fungus on a Russula; the DNA is the host's", seqqc.HostParasite),
			both("QM-134", of("Russula synsecunda"))...),
		specimen("QM-135", "Inocybe synsecunda",
			agrees("species", "the name of its reverse read also holds the code of QM-136", seqqc.OneStrandOnly),
			forward("QM-135", of("Inocybe synsecunda"), good()),
			backward("QM-135_QM-136", of("Inocybe synsecunda"), fair())),
		specimen("QM-136", "Morchella synprima",
			agrees("species", "an everyday case; see also QM-135"),
			both("QM-136", of("Morchella synprima"))...),
		{code: "QM-BLANK1", kind: seqqc.Blank,
			truth: undetermined(seqqc.Control, "a blank that stayed silent"),
			reads: []read{forward("QM-BLANK1", nil, dead()), backward("QM-BLANK1", nil, dead())}},
		{code: "QM-BLANK2", kind: seqqc.Blank,
			truth: undetermined(seqqc.Control, "a blank with the DNA of Trichoderma", seqqc.ControlSignal),
			reads: both("QM-BLANK2", of("Trichoderma synprima"))},
		{code: "QM-POS", field: "Auricularia synprima", kind: seqqc.Positive,
			truth: undetermined(seqqc.Control, "a positive control that worked"),
			reads: both("QM-POS", of("Auricularia synprima"))},
	}
}

// strays are reads of nobody.
func strays() []read {
	return []read{forward(foreignVoucher, of("Xerocomellus synprima"), fair())}
}

// swapNames gives each of two reads the primer name of the other.
func swapNames(reads []read) []read {
	reads[0].says, reads[1].says = reads[1].says, reads[0].says
	return reads
}
