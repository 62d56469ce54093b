//go:build purego || !amd64

package align

// distanceForms are the forms that this machine runs, the fastest first.
func distanceForms() []namedDistanceForm {
	return []namedDistanceForm{{"go", columnsGo}}
}
