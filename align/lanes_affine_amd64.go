//go:build !purego

package align

import "golang.org/x/sys/cpu"

// laneForms are the forms that this machine runs, the fastest first.
func laneForms() []laneForm {
	var forms []laneForm
	if cpu.X86.HasAVX512F {
		forms = append(forms, laneForm{16, laneBlockAVX512})
	}
	if cpu.X86.HasAVX2 {
		forms = append(forms, laneForm{8, laneBlockAVX2})
	}
	return forms
}
