package batch

// NamePartners is for the tests beside the package.
var NamePartners = namePartners
