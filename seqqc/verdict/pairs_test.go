package verdict

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/seqqc"
)

// everyCase gives the cases of all combinations of what a voucher can be, what
// its sequences are, what the library said and what the label says.
func everyCase(yield func(name string, c Case)) {
	fields := map[string]Field{
		"no name": {}, "odd name": {Name: refs.Name{Verbatim: "big red one"}},
	}
	for _, n := range []string{"Russula emetica", "Russula", "Amanita", "Russulaceae", "Russulales", "Agaricomycetes", "Fungi",
		"Hypomyces", "Penicillium", "Hypocreaceae", "Ascomycota", "Physarum", "Orphanus"} {
		fields[n] = field(n)
	}
	fields["Russula in the wide sense"] = wideRussula()
	fields["group"] = groupOf("red cap", "Russula", "Amanitaceae")
	matches := map[string]func() *seqqc.Match{
		"not compared":    func() *seqqc.Match { return nil },
		"no hit":          func() *seqqc.Match { return &seqqc.Match{} },
		"unnamed":         unnamed,
		"disputed":        func() *seqqc.Match { return disputed("Lactarius") },
		"disputed mould":  func() *seqqc.Match { return disputed("Trichoderma") },
		"disputed pine":   func() *seqqc.Match { return disputed("Pinus") },
		"disputed family": disputedFamily,
		"far and unnamed": func() *seqqc.Match {
			return changed(unnamed(), func(m *seqqc.Match) {
				for i := range m.Votes {
					m.Votes[i].Reached = false
				}
			})
		},
	}
	for _, taxon := range []string{"Russula emetica", "Lactarius", "Amanita", "Penicillium", "Trichoderma", "Pinus", "Physarum", "Orphanus", "Mucedo"} {
		for _, identity := range []float64{99.8, 96, 90, 84, 81, 75} {
			matches[fmt.Sprintf("%s %g", taxon, identity)] = func() *seqqc.Match { return matched(taxon, identity) }
		}
	}
	for _, kind := range []seqqc.Kind{seqqc.Specimen, seqqc.Blank, seqqc.Positive} {
		for fieldName, f := range fields {
			for matchName, m := range matches {
				for _, there := range []bool{false, true} {
					match := m()
					if match != nil && there && f.Name.Genus != "" {
						match = offered(match, f.Name.Genus, 70)
					}
					for sampleName, c := range map[string]Case{
						"none": none(), "silent": kept(none(), 20), "short stretch": kept(none(), 77), "poor": poor(), "one": specimen(f, match), "LSU": notITS(specimen(f, match)),
						"two":      habitSet(twoSamples(80, match, nil)),
						"two, LSU": notITS(habitSet(twoSamples(80, match, nil))),
						"joined":   specimen(f, joined(m())), "two, joined": habitSet(twoSamples(80, joined(m()), nil)),
						"LSU, joined": notITS(specimen(f, joined(m()))),
					} {
						c.Kind, c.Field = kind, f
						yield(fmt.Sprintf("%s, field %s, match %s, sample %s, library %v", kind, fieldName, matchName, sampleName, there), c)
					}
				}
			}
		}
	}
}

// joined gives a match, where it has hits, with those parents of chimeric.
func joined(m *seqqc.Match) *seqqc.Match {
	if m != nil && len(m.Hits) > 0 {
		m.Chimera = chimeric(seqqc.JointInRead).match().Chimera
	}
	return m
}

// never lists the pairs of rules that cannot both claim a case, with the reason.
var never = []struct {
	a, b []string
	why  string
}{
	{[]string{"blank-untested", "blank-silent", "blank-trace", "blank-signal"}, []string{"positive-control", "no-sequence", "poor-sequence", "no-field-name", "field-name-unknown"},
		"a blank is no positive control, is meant to hold nothing, and needs no name"},
	{[]string{"positive-control"}, []string{"no-field-name", "field-name-unknown"},
		"what a control is named is asked by its own rule"},
	{[]string{"blank-untested", "blank-silent", "blank-trace", "no-sequence", "poor-sequence"}, needSequence, "without a usable sequence there is nothing to look at"},
	{[]string{"no-match"}, needHit, "without a hit there is nothing to weigh"},
	{[]string{"too-distant"}, append([]string{"references-disagree"}, needTaxon...), "no rank is reached, so none is supported or disputed"},
	{[]string{"references-unnamed"}, append([]string{"references-disagree"}, withoutUntold(needTaxon)...), "unnamed references support no taxon"},
	{[]string{"references-disagree"}, []string{"same-genus", "conflict", "field-genus-not-in-library", "parasite-host"},
		"the dispute is not told where the taxa part, and a disputed genus is not supported"},
	{[]string{"nearest-is-field-genus"}, []string{"references-disagree", "non-fungal", "overgrowth"},
		"a window of one genus disputes nothing, and has the kingdom and the habit of the field name"},
	{[]string{"no-field-name", "field-name-unknown"}, needName, "without a known name there is no relation"},
	{[]string{"no-field-name"}, []string{"field-name-unknown"}, "there is a name or not"},
	{[]string{"non-fungal"}, []string{"overgrowth", "parasite-host", "same-genus", "dna-inside", "field-inside", "too-broad"},
		"DNA outside Fungi is no overgrowing fungus and no host here, and a field name that holds it is outside Fungi too"},
	{[]string{"overgrowth"}, []string{"parasite-host", "same-genus", "field-inside"},
		"the DNA overgrows or it does not, and where both are of one genus or the field name lies in the DNA's family nothing parts"},
	{[]string{"parasite-host"}, append([]string{"overgrowth"}, without(relationRules, "conflict")...),
		"a host is told only where a conflict stands"},
	{[]string{"renamed"}, append([]string{"references-disagree", "non-fungal", "overgrowth", "parasite-host"}, relationRules...),
		"two names of one fungus or genus need a supported genus, and are no other relation"},
}

var (
	relationRules = []string{"same-genus", "dna-inside", "field-inside", "nearest-is-field-genus", "too-broad", "conflict",
		"field-genus-not-in-library", "lineage-unknown"}
	needName     = append([]string{"overgrowth", "parasite-host", "renamed"}, relationRules...)
	needTaxon    = append([]string{"non-fungal"}, needName...)
	needHit      = append([]string{"chimera", "too-distant", "references-disagree", "references-unnamed"}, needTaxon...)
	needSequence = append([]string{"samples-disagree", "not-its", "no-match", "blank-signal"}, needHit...)
)

func without(list []string, drop ...string) []string {
	return slices.DeleteFunc(slices.Clone(list), func(s string) bool { return slices.Contains(drop, s) })
}

// withoutUntold: references may be near and unnamed so that no lineage is told.
func withoutUntold(list []string) []string { return without(list, "lineage-unknown") }

func whyNever(a, b Rule) string {
	if a.Asks == b.Asks {
		return "at most one rule answers a question"
	}
	for _, n := range never {
		if slices.Contains(n.a, a.ID) && slices.Contains(n.b, b.ID) || slices.Contains(n.a, b.ID) && slices.Contains(n.b, a.ID) {
			return n.why
		}
	}
	return ""
}

// TestPairs looks at every two rules that give verdicts: either some case makes
// both fire, and then the earlier question decides in each such case, or the
// pair is listed as impossible with its reason, and no case makes both fire.
func TestPairs(t *testing.T) {
	met := map[[2]string]string{}
	cases := 0
	everyCase(func(name string, c Case) {
		cases++
		found := Apply(c, Defaults())
		asked := map[seqqc.Question]string{}
		var verdicts []seqqc.Finding
		for _, f := range found {
			if f.Verdict == "" {
				continue
			}
			if asked[f.Question] != "" {
				t.Fatalf("%s: %s and %s answer one question", name, asked[f.Question], f.Rule)
			}
			asked[f.Question] = f.Rule
			verdicts = append(verdicts, f)
		}
		if len(verdicts) == 0 {
			t.Fatalf("%s: no rule has an answer", name)
		}
		first := slices.MinFunc(verdicts, func(a, b seqqc.Finding) int { return int(a.Question - b.Question) })
		v := Decide(found)
		if v.Rule != first.Rule || v.Kind != first.Verdict || len(v.Others) != len(verdicts)-1 {
			t.Fatalf("%s: decided by %s, not by %s", name, v.Rule, first.Rule)
		}
		for i, a := range verdicts {
			for _, b := range verdicts[i+1:] {
				met[[2]string{a.Rule, b.Rule}] = name
			}
		}
	})
	require.Greater(t, cases, 10000)
	possible := 0
	for i, a := range Rules {
		for _, b := range Rules[i+1:] {
			if a.Asks == seqqc.AskNothing || b.Asks == seqqc.AskNothing {
				continue
			}
			why, name := whyNever(a, b), met[[2]string{a.ID, b.ID}]
			switch {
			case why == "" && name == "":
				t.Errorf("%s and %s: no case in which both fire, and no reason why not", a.ID, b.ID)
			case why != "" && name != "":
				t.Errorf("%s and %s: both fire in %q, although %s", a.ID, b.ID, name, why)
			case name != "":
				possible++
			}
		}
	}
	require.Greater(t, possible, 50)
	t.Logf("%d cases, %d pairs of rules meet", cases, possible)
}

// TestRulesAreOrdered holds the table to the order of the questions, and its
// rows to be complete.
func TestRulesAreOrdered(t *testing.T) {
	ids := map[string]bool{}
	last := seqqc.AskControl
	for _, r := range Rules {
		require.GreaterOrEqual(t, r.Asks, last, r.ID)
		last = r.Asks
		require.False(t, ids[r.ID], r.ID)
		ids[r.ID] = true
		require.NotEmpty(t, r.Doc, r.ID)
		require.NotEmpty(t, r.Source, r.ID)
	}
}
