package batch

// NamePartners and Barcode are for the tests beside the package.
var (
	NamePartners = namePartners
	Barcode      = barcode
)
