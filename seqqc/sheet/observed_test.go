package sheet_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
)

func TestTraitColumns(t *testing.T) {
	s := read(t, "voucher,field_id,hymenophore,gills,latex,annulus,volva,flesh,staining,spore print colour,grows_on,substrate\n"+
		"EX-1,Amanita,gills,free,-,yes,patches,fibrous,no,white,soil,\n"+
		"EX-2,Suillus,pores,,no,absent,none,,bruises blue,brown spore print,,on wood of Pinus\n"+
		"EX-3,Russula,,adnate to decurrent,,maybe,,?,,,,in a wet place\n")
	states := func(i int) map[seqqc.Trait]string {
		out := map[seqqc.Trait]string{}
		for _, o := range s.Vouchers[i].Observed {
			out[o.Trait] = o.State
		}
		return out
	}
	require.Equal(t, map[seqqc.Trait]string{
		seqqc.TraitSurface: "gills", seqqc.TraitAttachment: "free", seqqc.TraitMilk: "no", seqqc.TraitRing: "yes", seqqc.TraitVolva: "patches",
		seqqc.TraitFlesh: "fleshy", seqqc.TraitBruising: "no", seqqc.TraitSporePrint: "white", seqqc.TraitGrowsOn: "soil"}, states(0))
	require.Equal(t, map[seqqc.Trait]string{
		seqqc.TraitSurface: "tubes", seqqc.TraitMilk: "no", seqqc.TraitRing: "no", seqqc.TraitVolva: "no", seqqc.TraitBruising: "blue",
		seqqc.TraitSporePrint: "brown", seqqc.TraitGrowsOn: "wood"}, states(1))
	require.Equal(t, map[seqqc.Trait]string{seqqc.TraitAttachment: "adnate|decurrent", seqqc.TraitRing: ""}, states(2),
		"what is not understood is kept, and a substrate of which nothing is understood is no observation")
	require.Len(t, s.Problems, 1)
	p := s.Problems[0]
	require.Equal(t, "annulus", p.Field)
	require.Equal(t, 4, p.Line)
	require.False(t, p.Unread)
	require.Contains(t, p.What, `"maybe" was not understood`)
	require.Contains(t, p.Hint, "cobweb")
}

func TestTraitsOfTwoRows(t *testing.T) {
	s := read(t, "voucher,field_id,sample,milk,ring\nEX-1,Lactarius,1,yes,\nEX-1,Lactarius,2,no,no\n")
	require.Equal(t, []seqqc.Observation{{Trait: seqqc.TraitMilk, Written: "yes", State: "yes"}, {Trait: seqqc.TraitRing, Written: "no", State: "no"}},
		s.Vouchers[0].Observed)
	require.Contains(t, s.Problems[0].What, `"no" differs from "yes" in row 2`)
	require.True(t, strings.HasPrefix(s.Problems[0].Field, "milk"))
}
