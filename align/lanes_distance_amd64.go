//go:build !purego

package align

import "golang.org/x/sys/cpu"

//go:generate go run ./gen/distance -out lanes_distance_amd64.s -stubs lanes_distance_stubs_amd64.go -pkg align

// distanceForms are the forms that this machine runs, the fastest first.
func distanceForms() []namedDistanceForm {
	var forms []namedDistanceForm
	if cpu.X86.HasAVX512F && cpu.X86.HasAVX512VBMI2 {
		forms = append(forms, namedDistanceForm{"avx512-vbmi2", columnsVBMI2})
	}
	if cpu.X86.HasAVX512F {
		forms = append(forms, namedDistanceForm{"avx512", columnsAVX512})
	}
	if cpu.X86.HasAVX2 {
		forms = append(forms, namedDistanceForm{"avx2", columnsAVX2})
	}
	return append(forms, namedDistanceForm{"go", columnsGo})
}

func columnsVBMI2(l *PatternLanes, first, last, columns, out int) {
	distanceColumnsVBMI2(&l.state.text[0], &l.pv[first][0], &l.mv[first][0], &l.profile[16*first],
		last-first+1, columns, uint64(out))
}

func columnsAVX512(l *PatternLanes, first, last, columns, out int) {
	distanceColumnsAVX512(&l.state.text[0], &l.pv[first][0], &l.mv[first][0], &l.profile[16*first],
		last-first+1, columns, uint64(out))
}

func columnsAVX2(l *PatternLanes, first, last, columns, out int) {
	distanceColumnsAVX2(&l.state.text[0], &l.pv[first][0], &l.mv[first][0], &l.profile[16*first],
		last-first+1, columns, uint64(out))
}
