package verdict

import (
	"fmt"

	"forayseq/seqqc"
)

func checkChimera(c Case, _ Params) []seqqc.Finding {
	m := c.match()
	if m == nil || m.Chimera == nil {
		return nil
	}
	x := m.Chimera
	where := fmt.Sprintf("base %d", x.Breakpoint.Start+1)
	if x.Breakpoint.Len() > 0 {
		where = fmt.Sprintf("bases %d to %d", x.Breakpoint.Start+1, x.Breakpoint.End+1)
	}
	if x.In != "" {
		where += " (" + x.In + ")"
	}
	side := func(p seqqc.Parent) string {
		h := seqqc.Hit{Reference: p.Reference, Name: p.Name, Lineage: p.Lineage}
		return fmt.Sprintf("%s (%s %% there, %s %% on the other side)", title(&h), figure(p.IdentityPct), figure(p.OtherPct))
	}
	// A sequence of two organisms is that of no specimen: what its halves are
	// near to says nothing about the name, and nothing against the references.
	f := undetermined(seqqc.PoorSequence,
		fmt.Sprintf("The sequence looks joined from two organisms, so the name was not tested: before %s it is nearest to %s, behind to %s; the best single reference differs from it in %d places, the two together in %d.",
			where, side(x.Left), side(x.Right), x.SingleErrors, x.PairErrors),
		chimeraStep(x.Joint))
	f[0].Flags = append(f[0].Flags, seqqc.ChimeraSuspected)
	return f
}

func chimeraStep(j seqqc.Joint) string {
	switch j {
	case seqqc.JointInRead:
		return "A read runs across the join, so the DNA was joined in the PCR: repeat the PCR from the same DNA with fewer cycles or from a new extraction, and publish neither half."
	case seqqc.JointOfReads:
		return "Each read fits one of the two alone, so reads of two specimens were put together: look for swapped tubes, wells or file names, and tie each read to its own voucher."
	}
	return "Look at the reads around that place: if one runs across it, repeat the PCR; if not, look for reads of two specimens that were put together."
}
